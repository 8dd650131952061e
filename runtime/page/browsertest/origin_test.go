package browsertest_test

import (
	"io"
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/page/browsertest"
)

// stranger is the page of another origin, which has come to know the whole address
// of ours and tries every way there is to read it. It tells of what it got hold of.
const stranger = `
const target = new URLSearchParams(location.search).get("at");
const got = [];
const ended = [];
const attempt = (what, start) => ended.push(new Promise(done => {
	const yes = () => { got.push(what); done(); };
	try { start(yes, () => done()); } catch { done(); }
	setTimeout(done, 3000); // a frame that is refused may say nothing
}));
for (const path of ["", "events", "a/app.js", "try/0"]) {
	for (const mode of ["cors", "no-cors", "same-origin"]) {
		for (const credentials of ["include", "omit"]) {
			attempt("fetch " + mode + " " + path, (yes, no) => fetch(target + path, {mode, credentials}).then(async r => {
				if (r.type !== "opaque" || (await r.text()) !== "") yes(); else no();
			}, no));
		}
	}
}
attempt("post", (yes, no) => fetch(target + "try/0", {method: "POST", headers: {"Content-Type": "application/json"},
	body: JSON.stringify({client: "x", params: {width: "70"}})}).then(yes, no));
attempt("simple post", (yes, no) => fetch(target + "try/0", {method: "POST", mode: "no-cors", body: '{"client":"x","params":{"width":"70"}}'})
	.then(r => r.type === "opaque" ? no() : yes(), no));
attempt("events", (yes, no) => { const e = new EventSource(target + "events"); e.addEventListener("state", yes); e.onopen = yes; e.onerror = () => { e.close(); no(); }; });
attempt("picture", (yes, no) => { const i = new Image(); i.onload = yes; i.onerror = no; i.src = target + "file/0/preview.svg"; });
attempt("style", (yes, no) => { const l = document.createElement("link"); l.rel = "stylesheet"; l.onload = () => { try { if (l.sheet.cssRules.length) yes(); else no(); } catch { no(); } }; l.onerror = no; l.href = target + "a/page.css"; document.head.append(l); });
for (const type of ["text/javascript", "module"]) {
	attempt("script " + type, (yes, no) => { const s = document.createElement("script"); s.type = type; s.onload = yes; s.onerror = no; s.src = target + "a/store.js"; document.head.append(s); });
}
attempt("import", (yes, no) => import(target + "a/store.js").then(yes, no));
attempt("worker", (yes, no) => { const w = new Worker(target + "a/store.js", {type: "module"}); w.onmessage = yes; w.onerror = no; });
attempt("frame", (yes, no) => {
	const f = document.createElement("iframe");
	f.onload = () => { try { if (f.contentDocument.querySelector("#flat")) yes(); else no(); } catch { no(); } };
	f.src = target; document.body.append(f);
});
attempt("window", (yes, no) => {
	const w = open(target);
	setTimeout(() => { try { if (w.document.querySelector("#flat") || w.location.href !== "about:blank") yes(); else no(); } catch { no(); } }, 800);
});
Promise.all(ended).then(() => { window.got = got; });
`

// A page of another origin reads nothing of ours and has nothing done, even if it knows the
// whole address.
func TestAnotherOriginGetsNothing(t *testing.T) {
	t.Parallel()
	s := newStudio(t, map[string]string{"tray.star": tray})
	other := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		if r.URL.Path == "/s.js" {
			w.Header().Set("Content-Type", "text/javascript")
			_, _ = io.WriteString(w, stranger)
			return
		}
		w.Header().Set("Content-Type", "text/html")
		_, _ = io.WriteString(w, `<!doctype html><link rel=icon href="data:,"><body><script src=s.js></script>`)
	}))
	defer other.Close()
	for name, base := range map[string]string{
		"the same site":  other.URL,
		"another site":   strings.Replace(other.URL, "127.0.0.1", "localhost", 1),
		"the right name": strings.Replace(other.URL, "127.0.0.1", "localhost", 1) + "/",
	} {
		t.Run(name, func(t *testing.T) {
			target := s.URL()
			if name == "the right name" {
				target = strings.Replace(target, "127.0.0.1", "localhost", 1)
			}
			b := browsertest.New(t)
			b.Allow("") // every attempt that fails is told in the console
			b.Go(base + "?at=" + url.QueryEscape(target))
			b.Wait("window.got")
			if got := browsertest.Eval[[]string](b, "got"); len(got) > 0 {
				t.Errorf("it got hold of %q", got)
			}
		})
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if s.tries > 0 {
		t.Errorf("it had the design run %d times", s.tries)
	}
}

// With a wrong name of the host or a wrong token nothing is answered but 403.
func TestStrangersAreTurnedAway(t *testing.T) {
	t.Parallel()
	s := newStudio(t, map[string]string{"tray.star": tray})
	right, err := url.Parse(s.URL())
	if err != nil {
		t.Fatal(err)
	}
	token := strings.Trim(right.Path, "/")
	for name, c := range map[string]struct {
		host, path string
		want       int
	}{
		"right":          {right.Host, "/" + token + "/", http.StatusOK},
		"by name":        {"localhost:" + right.Port(), "/" + token + "/", http.StatusOK},
		"rebound name":   {"evil.example:" + right.Port(), "/" + token + "/", http.StatusForbidden},
		"another port":   {"127.0.0.1:1", "/" + token + "/", http.StatusForbidden},
		"no token":       {right.Host, "/", http.StatusForbidden},
		"another token":  {right.Host, "/" + strings.Repeat("a", len(token)) + "/", http.StatusForbidden},
		"part of one":    {right.Host, "/" + token[:len(token)-1] + "/", http.StatusForbidden},
		"assets without": {right.Host, "/a/app.js", http.StatusForbidden},
	} {
		req, err := http.NewRequestWithContext(t.Context(), http.MethodGet, "http://"+right.Host+c.path, nil)
		if err != nil {
			t.Fatal(err)
		}
		req.Host = c.host
		res, err := http.DefaultClient.Do(req)
		if err != nil {
			t.Fatal(err)
		}
		res.Body.Close()
		if res.StatusCode != c.want {
			t.Errorf("%s: %s, want %d", name, res.Status, c.want)
		}
	}
}
