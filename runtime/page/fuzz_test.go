package page

import (
	"bufio"
	"context"
	"net/http"
	"net/http/httptest"
	"net/netip"
	"slices"
	"strings"
	"testing"
)

// FuzzRoute sends requests as they come over the wire. Law: whatever they are, each is
// answered once, with all headers; without the token and our host it is 403; and
// the source is asked only for names that are in a list.
func FuzzRoute(f *testing.F) {
	const files = "preview.svg\ntea carton.cut.dxf\nodd%2f..\nü"
	src := &source{}
	s := newServer(src, netip.MustParseAddrPort("127.0.0.1:8080"))
	s.token = "TOKEN"
	var list []File
	for _, name := range strings.Split(files, "\n") {
		list = append(list, File{Name: name})
	}
	s.Show(s.Add(Script{Editor: true}), Run{Display: display(1), Files: list})

	var fault string
	known := func(ok bool, what string) {
		if !ok {
			fault = "the source is asked for " + what
		}
	}
	src.file = func(script int, name string) ([]byte, error) {
		known(script == 0 && slices.Contains(strings.Split(files, "\n"), name), "file "+name)
		return []byte(name), nil
	}
	src.motion = func(ctx context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
		known(script == 0 && params == nil && piece >= 0 && pose != "" && len(shares) > 0 && len(shares) <= mostShares, "motion")
		for _, share := range shares {
			known(share >= 0 && share <= 1, "a share")
		}
		return stateSource(ctx, script, params, piece, pose, shares)
	}
	src.try = func(_ context.Context, script int, params map[string]string, _ func(string)) (Run, error) {
		known(script == 0 && len(params) > 0, "a try")
		return Run{Display: display(2)}, nil
	}
	src.edit = func(script int, file string, line int) error {
		known(script == 0 && line > 0 && file != "" && !strings.ContainsAny(file, "\x00\n\r"), "an editor")
		return nil
	}

	digest := digestOf(display(1))
	ours := " HTTP/1.1\r\nHost: 127.0.0.1:8080\r\n"
	post := ours + "Origin: http://127.0.0.1:8080\r\nContent-Type: application/json\r\nContent-Length: "
	for _, seed := range []string{
		"GET /TOKEN/" + ours + "\r\n",
		"GET http://127.0.0.1:8080/TOKEN/a/app.js" + ours + "\r\n",
		"GET /TOKEN/data/" + digest + ours + "If-None-Match: \"x\"\r\n\r\n",
		"GET /TOKEN/motion/0?digest=" + digest + "&piece=0&pose=closed&at=0,0.5,1" + ours + "\r\n",
		"GET /TOKEN/file/0/tea%20carton.cut.dxf?download" + ours + "\r\n",
		"GET /TOKEN/file/0/odd%252f.." + ours + "\r\n",
		"GET /TOKEN/file/0/..%2f%c3%bc" + ours + "\r\n",
		"GET /TOKEN/print/0" + ours + "\r\n",
		"POST /TOKEN/try/0" + post + "41\r\n\r\n" + `{"client":"c","params":{"length":"95"}}  `,
		"POST /TOKEN/edit/0" + post + "31\r\n\r\n" + `{"file":"tea.star","line":12}  `,
		"GET /TOKEN/" + " HTTP/1.1\r\nHost: example.com\r\n\r\n",
		"OPTIONS * HTTP/1.1\r\nHost: 127.0.0.1:8080\r\n\r\n",
		"GET /TOKEN/" + ours + "Origin: null\r\n\r\n",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, wire string) {
		r, err := http.ReadRequest(bufio.NewReader(strings.NewReader(wire)))
		if err != nil {
			t.Skip()
		}
		ctx, cancel := context.WithCancel(t.Context())
		defer cancel()
		if strings.Contains(r.URL.Path, "events") {
			cancel() // they end at once
		}
		fault = ""
		w := httptest.NewRecorder()
		s.ServeHTTP(w, r.WithContext(ctx))
		if fault != "" {
			t.Error(fault)
		}
		checkHeaders(t, strings.TrimPrefix(r.URL.Path, "/TOKEN/"), w.Header())
		if w.Code != 403 && (!strings.HasPrefix(r.URL.EscapedPath(), "/TOKEN/") || !s.hosts[r.Host]) {
			t.Errorf("%d for %q at %q", w.Code, r.URL.Path, r.Host)
		}
		if !slices.Contains([]int{200, 304, 400, 403, 404, 405, 413, 415, 500}, w.Code) {
			t.Errorf("status %d", w.Code)
		}
	})
}
