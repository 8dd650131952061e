//go:build unix

package main

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/page"
	"github.com/creasewright/creasewright/runtime/worker"
)

// served is a watch in this process, and its page as a plain client of it sees it.
type served struct {
	t      *testing.T
	talk   *tail
	url    string
	opened []string
	states chan page.State
	cancel context.CancelFunc
	code   chan int
}

// serve starts a watch that has a page. It ends with the test, if not by end.
func serve(t *testing.T, args ...string) *served {
	t.Helper()
	s := &served{t: t, talk: &tail{}, states: make(chan page.State), code: make(chan int, 1)}
	var ctx context.Context
	ctx, s.cancel = context.WithCancel(t.Context())
	c := newConsole(&bytes.Buffer{}, s.talk, os.Getenv)
	c.sandbox = inProcess
	c.open = func(path string) error {
		text, err := os.ReadFile(path)
		info, _ := os.Stat(path)
		s.opened = append(s.opened, path, fmt.Sprint(info.Mode().Perm()), string(text))
		return err
	}
	go func() { s.code <- run(ctx, c, append([]string{"watch"}, args...)) }()
	t.Cleanup(func() { s.end() })
	s.talk.waitFor(t, "; Ctrl-C ends\n", "the page is ")
	s.talk.waitFor(t, "\n")
	_, rest, _ := strings.Cut(s.talk.String(), "the page is ")
	s.url, _, _ = strings.Cut(rest, "\n")
	s.url, _, _ = strings.Cut(s.url, " ")
	return s
}

// end ends the watch and gives its exit code.
func (s *served) end() int {
	s.cancel()
	code := <-s.code
	s.code <- code
	return code
}

// follow reads the page's events until the test ends.
func (s *served) follow() {
	s.t.Helper()
	res, err := http.Get(s.url + "events")
	if err != nil || res.StatusCode != http.StatusOK {
		s.t.Fatal(res, err)
	}
	s.t.Cleanup(func() { res.Body.Close() })
	go func() {
		lines := bufio.NewScanner(res.Body)
		for lines.Buffer(nil, 1<<20); lines.Scan(); {
			data, ok := strings.CutPrefix(lines.Text(), "data: ")
			var state page.State
			if !ok || json.Unmarshal([]byte(data), &state) != nil {
				continue
			}
			select {
			case s.states <- state:
			case <-s.t.Context().Done():
				return
			}
		}
	}()
}

// until waits for a state that is as asked.
func (s *served) until(what string, as func([]page.Status) bool) []page.Status {
	s.t.Helper()
	deadline := time.After(hangGuard)
	for {
		select {
		case state := <-s.states:
			if as(state.Scripts) {
				return state.Scripts
			}
		case <-deadline:
			s.t.Fatalf("no state in which %s:\n%s", what, s.talk)
		}
	}
}

// get fetches what is below the page's URL.
func (s *served) get(path string) (int, []byte) {
	s.t.Helper()
	res, err := http.Get(s.url + path)
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	body, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return res.StatusCode, body
}

// request is one that sends JSON as a page of the server's own would.
func (s *served) request(path string, body any) *http.Request {
	s.t.Helper()
	text, err := json.Marshal(body)
	if err != nil {
		s.t.Fatal(err)
	}
	req, err := http.NewRequestWithContext(s.t.Context(), http.MethodPost, s.url+path, bytes.NewReader(text))
	if err != nil {
		s.t.Fatal(err)
	}
	req.Header.Set("Content-Type", "application/json")
	req.Header.Set("Origin", strings.Join(strings.SplitN(s.url, "/", 4)[:3], "/"))
	return req
}

// post sends JSON and gives the answer.
func (s *served) post(path string, body any) (int, []byte) {
	s.t.Helper()
	res, err := http.DefaultClient.Do(s.request(path, body))
	if err != nil {
		s.t.Fatal(err)
	}
	defer res.Body.Close()
	answer, err := io.ReadAll(res.Body)
	if err != nil {
		s.t.Fatal(err)
	}
	return res.StatusCode, answer
}

// show is what a test reads of a display.
type show struct {
	Title  string
	Exit   int
	Params []struct {
		Name  string
		Value any
	}
	Sources []struct{ File, Text string }
}

// display fetches a display by its digest.
func (s *served) display(digest string) (d show) {
	s.t.Helper()
	code, body := s.get("data/" + digest)
	if err := json.Unmarshal(body, &d); err != nil || code != http.StatusOK {
		s.t.Fatalf("display %q: %d, %v", digest, code, err)
	}
	return d
}

// clean reports whether the one script that is watched runs without errors.
func clean(st []page.Status) bool { return len(st) == 1 && st[0].Digest != "" && st[0].Exit == 0 }

// The URL is said once; the page is told of every run: of a script that breaks in the
// words of the terminal, with the last display kept, and of its healing. The end of the
// watch is the end of the page.
func TestThePageOfAWatch(t *testing.T) {
	desk(t, tray)
	s := serve(t, "tray.star", "--set", "width=70", "--limit", "panels=100")
	if !strings.HasPrefix(s.url, "http://127.0.0.1:") {
		t.Errorf("the page is at %q", s.url)
	}
	s.follow()
	first := s.until("the tray is made", clean)[0]
	if first.Name != "tray.star" || first.Path != "tray.star" || first.Folder != "tray" || first.Editor ||
		first.Command != "creasewright make tray.star --limit panels=100" || first.Fault != "" {
		t.Errorf("%+v", first)
	}
	if d := s.display(first.Digest); d.Title != "Tray" || len(d.Params) != 1 || d.Params[0].Value != 70.0 || d.Sources[0].Text != tray {
		t.Errorf("%+v", d)
	}
	if code, body := s.get(""); code != http.StatusOK || !bytes.Contains(body, []byte("<!")) {
		t.Errorf("the page itself: %d", code)
	}

	put(t, "tray.star", broken)
	st := s.until("it is broken", func(st []page.Status) bool { return st[0].Exit == int(engine.Broken) })[0]
	if st.Digest != "" || st.Last != first.Digest || !strings.Contains(st.Fault, `tray.star:7:6: error: panel "base" has no edge "lid"`) {
		t.Errorf("%+v", st)
	}
	s.talk.waitFor(t, st.Fault)
	var names []string
	for _, f := range st.Files {
		names = append(names, f.Name)
	}
	if slices.Sort(names); !slices.Equal(names, []string{"preview.svg", "report.json", "tray.cut.dxf", "tray.cut.svg"}) {
		t.Errorf("files %q", names)
	}
	put(t, "tray.star", faulty)
	st = s.until("it has an error", func(st []page.Status) bool { return st[0].Exit == int(engine.Faulty) })[0]
	if st.Fault != "" || s.display(st.Digest).Exit != int(engine.Faulty) {
		t.Errorf("%+v", st)
	}
	put(t, "tray.star", tray)
	if st = s.until("it is mended", clean)[0]; st.Fault != "" || st.Digest != first.Digest {
		t.Errorf("%+v", st)
	}
	if n := strings.Count(s.talk.String(), "http"); n != 1 {
		t.Errorf("the page is told of %d times:\n%s", n, s.talk)
	}
	if code := s.end(); code != 0 {
		t.Errorf("exit %d", code)
	}
	if res, err := http.Get(s.url); err == nil {
		res.Body.Close()
		t.Error("the page is there after the watch")
	}
}

// Other values run the script without a trace on disk, on the texts that the page shows;
// states along the fold can be had while the script is broken.
func TestTriesOfThePage(t *testing.T) {
	desk(t, tray)
	s := serve(t, "tray.star")
	s.follow()
	st := s.until("the tray is made", clean)[0]
	before := folder(t, "tray")
	try := func(value string) (out struct {
		Digest, Fault string
		Exit          int
	}) {
		t.Helper()
		code, body := s.post("try/0", map[string]any{"client": "c", "params": map[string]string{"width": value}})
		if err := json.Unmarshal(body, &out); err != nil || code != http.StatusOK {
			t.Fatalf("width = %s: %d, %s", value, code, body)
		}
		return out
	}
	tried := try("95.5")
	if d := s.display(tried.Digest); tried.Exit != 0 || d.Params[0].Value != 95.5 {
		t.Errorf("%+v, %+v", tried, d)
	}
	if out := try("500"); out.Exit != int(engine.Broken) || out.Digest != "" || !strings.Contains(out.Fault, "tray.star:2:9: error: ") {
		t.Errorf("%+v", out)
	}
	if after := folder(t, "tray"); !mapsEqual(before, after) {
		t.Error("a try has changed files")
	}
	motion := func(digest string) float64 {
		t.Helper()
		code, body := s.get("motion/0?piece=0&pose=closed&at=0.5&digest=" + digest)
		var m struct {
			States []struct {
				At    float64
				Folds []*float64
			}
		}
		if err := json.Unmarshal(body, &m); err != nil || code != http.StatusOK || len(m.States) != 1 || len(m.States[0].Folds) != 1 {
			t.Fatalf("%d, %s", code, body)
		}
		return *m.States[0].Folds[0]
	}
	put(t, "tray.star", broken)
	s.until("it is broken", func(st []page.Status) bool { return st[0].Exit == int(engine.Broken) })
	for _, digest := range []string{st.Digest, tried.Digest} {
		if fold := motion(digest); fold != 45 {
			t.Errorf("half way to 90° the fold is %v°", fold)
		}
	}
}

func mapsEqual(a, b map[string]string) bool {
	if len(a) != len(b) {
		return false
	}
	for k, v := range a {
		if b[k] != v {
			return false
		}
	}
	return true
}

// Files are those of the last run, as they stand on disk.
func TestFilesOfThePage(t *testing.T) {
	desk(t, tray)
	put(t, "secret", "secret")
	s := serve(t, "tray.star", "-o", "out dir")
	s.follow()
	st := s.until("the tray is made", clean)[0]
	if want := "creasewright make tray.star -o 'out dir'"; st.Command != want || st.Folder != "out dir" {
		t.Errorf("%q in %q", st.Command, st.Folder)
	}
	files := folder(t, "out dir")
	if len(st.Files) != len(files) {
		t.Errorf("%d files are listed, %d are there", len(st.Files), len(files))
	}
	for _, f := range st.Files {
		if code, body := s.get("file/0/" + f.Name); code != http.StatusOK || string(body) != files[f.Name] || f.Size != int64(len(body)) || f.Kind == "" {
			t.Errorf("%+v: %d, %d bytes", f, code, len(body))
		}
	}
	put(t, "out dir/preview.svg", "changed")
	if _, body := s.get("file/0/preview.svg"); string(body) != "changed" {
		t.Errorf("not as it stands on disk: %q", body)
	}
	put(t, "out dir/other.txt", "other")
	if err := os.Remove("out dir/tray.cut.svg"); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("../secret", "out dir/tray.cut.svg"); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"other.txt", "tray.cut.svg", "..%2Fsecret", "../secret", ".creasewright.json", ""} {
		if code, body := s.get("file/0/" + name); code == http.StatusOK {
			t.Errorf("%s: %q", name, body)
		}
	}
}

// An editor is started with the file and the line, for what the script has read and lies
// in a folder; one that does not start is told in the page and in the terminal.
func TestTheEditorOfAPage(t *testing.T) {
	desk(t, `load("my parts/it's.star", "size")`+"\n"+`load("//closures.star", "tuck_end")`+"\n"+tray)
	if err := os.Mkdir("my parts", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, "my parts/it's.star", "size = 3\n\n\n")
	put(t, "unread.star", tray)
	put(t, "editor.sh", `printf '%s\n' "$@" > said.part && mv said.part said`+"\n")
	dir, err := filepath.EvalSymlinks(".")
	if err != nil {
		t.Fatal(err)
	}
	if dir, err = filepath.Abs(dir); err != nil {
		t.Fatal(err)
	}
	s := serve(t, "tray.star", "--editor", "sh editor.sh -g '{file}:{line}' --at={line}")
	s.follow()
	if st := s.until("the tray is made", clean)[0]; !st.Editor {
		t.Errorf("%+v", st)
	}
	edit := func(file string, line int) (int, string) {
		t.Helper()
		code, body := s.post("edit/0", map[string]any{"file": file, "line": line})
		return code, string(body)
	}
	for file, line := range map[string]int{"tray.star": 4, "my parts/it's.star": 3} {
		if code, body := edit(file, line); code/100 != 2 {
			t.Fatalf("%s: %d %s", file, code, body)
		}
		said, err := os.ReadFile("said")
		for deadline := time.Now().Add(hangGuard); err != nil && time.Now().Before(deadline); said, err = os.ReadFile("said") {
			time.Sleep(time.Millisecond)
		}
		path := filepath.Join(dir, file)
		if want := fmt.Sprintf("-g\n%s:%d\n--at=%d\n", path, line, line); err != nil || string(said) != want {
			t.Errorf("the editor is given %q, want %q (%v)", said, want, err)
		}
		if err := os.Remove("said"); err != nil {
			t.Fatal(err)
		}
	}
	for file, line := range map[string]int{
		"unread.star": 1, "//closures.star": 1, "../x.star": 1, filepath.Join(dir, "tray.star"): 1, "": 1, "my parts/it's.star": 900,
	} {
		if code, body := edit(file, line); code/100 == 2 || body == "" {
			t.Errorf("%q, line %d: %d %s", file, line, code, body)
		}
	}
	for _, line := range []int{0, -1, 1 << 40} {
		if code, body := edit("tray.star", line); code/100 == 2 {
			t.Errorf("line %d: %d %s", line, code, body)
		}
	}
	if _, err := os.Stat("said"); err == nil {
		t.Error("the editor was started for what it must not open")
	}
	s.end()

	s = serve(t, "tray.star", "--editor", "no-such-editor {file}")
	s.follow()
	s.until("the tray is made", clean)
	const want = `the editor does not start: exec: "no-such-editor": executable file not found in $PATH`
	if code, body := edit("tray.star", 1); code/100 == 2 || !strings.Contains(body, want) {
		t.Errorf("%d %s", code, body)
	}
	s.talk.waitFor(t, "creasewright: "+want+"\n")
}

// Several scripts are watched at once, each told under its path; the page shows all.
func TestSeveralScripts(t *testing.T) {
	desk(t, tray)
	put(t, "lid.star", strings.ReplaceAll(tray, "tray", "lid"))
	s := serve(t, "tray.star", "lid.star", "./tray.star")
	if got := s.talk.String(); !strings.HasPrefix(got, "watching tray.star and lid.star; Ctrl-C ends\n") {
		t.Errorf("it says\n%s", got)
	}
	s.follow()
	made := func(st []page.Status) bool { return len(st) == 2 && clean(st[:1]) && clean(st[1:]) }
	if st := s.until("both are made", made); st[0].Name != "tray.star" || st[1].Name != "lid.star" {
		t.Errorf("%+v", st)
	}
	s.talk.waitForAny(t, "  tray.star: 1 piece, nothing to mend; files in tray  (")
	s.talk.waitForAny(t, "  lid.star: 1 piece, nothing to mend; files in lid  (")
	put(t, "lid.star", strings.ReplaceAll(broken, "tray", "lid"))
	st := s.until("one is broken", func(st []page.Status) bool { return st[0].Exit+st[1].Exit == int(engine.Broken) })
	for _, x := range st {
		if (x.Fault != "") != (x.Name == "lid.star") {
			t.Errorf("%+v", x)
		}
	}
	s.talk.waitForAny(t, "  lid.star: the script does not run")
	if code := s.end(); code != 0 {
		t.Errorf("exit %d", code)
	}
}

// A script that is taken out of a watched folder is taken off the page.
func TestThePageOfAFolder(t *testing.T) {
	t.Chdir(t.TempDir())
	if err := os.Mkdir("d", 0o755); err != nil {
		t.Fatal(err)
	}
	put(t, "d/a.star", tray)
	put(t, "d/b.star", tray)
	s := serve(t, "d", "--open")
	s.follow()
	s.until("both are shown", func(st []page.Status) bool { return len(st) == 2 && clean(st[:1]) && clean(st[1:]) })
	if err := os.Remove("d/a.star"); err != nil {
		t.Fatal(err)
	}
	st := s.until("one is shown", func(st []page.Status) bool { return len(st) == 1 })
	if st[0].Path != filepath.Join("d", "b.star") {
		t.Errorf("%+v", st)
	}
}

// With --open a browser is given a file, readable by its owner alone, that leads to the
// page; it is gone when the watch has ended.
func TestThePageIsOpened(t *testing.T) {
	desk(t, tray)
	s := serve(t, "tray.star", "--open")
	s.talk.waitFor(t, "files in tray")
	s.end()
	if len(s.opened) != 3 || s.opened[1] != "-rw-------" || !strings.Contains(s.opened[2], `content="0;url=`+s.url+`"`) {
		t.Errorf("opened %q", s.opened)
	}
	if _, err := os.Stat(filepath.Dir(s.opened[0])); err == nil {
		t.Error("what opened the page is left behind")
	}
	if strings.Contains(s.talk.String(), "--open opens it") {
		t.Errorf("what was done is advised:\n%s", s.talk)
	}
}

// An address that was asked for is the page's, or an error; without one the watch goes on.
func TestTheAddressOfAPage(t *testing.T) {
	desk(t, tray)
	taken, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	at := taken.Addr().String()
	_, port, _ := net.SplitHostPort(at)
	cli("watch", "tray.star", "--page", port).wants(t, engine.Broken, "", "creasewright: the page cannot be served at "+at+": another program has that port; choose another by --page PORT, or leave --page out for any that is free\n")
	if _, err := os.Stat("tray"); err == nil {
		t.Error("a watch without its page has run")
	}
	taken.Close()
	if s := serve(t, "tray.star", "--page", "localhost:"+port); !strings.HasPrefix(s.url, "http://"+at+"/") {
		t.Errorf("the page is at %s, not at %s", s.url, at)
	}
}

// Without a page nothing is said of one and no display is asked for; with one it is.
func TestWithoutAPage(t *testing.T) {
	desk(t, tray)
	for _, off := range []bool{false, true} {
		ctx, end := context.WithCancel(t.Context())
		asked := make(chan bool, 1)
		c := newConsole(io.Discard, &tail{}, os.Getenv)
		talk := c.err.(*tail)
		c.sandbox = func(program string, limits limit.Set, use worker.Use) (runner, func()) {
			run, close := inProcess(program, limits, use)
			return func(ctx context.Context, req engine.Request) (engine.Result, error) {
				asked <- slices.Contains(req.Also, emit.KindDisplay)
				return run(ctx, req)
			}, close
		}
		args := []string{"watch", "tray.star"}
		if off {
			args = append(args, "--page=off")
		}
		code := make(chan int)
		go func() { code <- run(ctx, c, args) }()
		if got := <-asked; got == off {
			t.Errorf("off %v: a display is asked for: %v", off, got)
		}
		talk.waitFor(t, "files in tray")
		end()
		if got := <-code; got != 0 {
			t.Errorf("exit %d", got)
		}
		if strings.Contains(talk.String(), "http") == off {
			t.Errorf("off %v: it says\n%s", off, talk)
		}
		if err := os.RemoveAll("tray"); err != nil {
			t.Fatal(err)
		}
	}
}

// Where no address can be listened on, a watch says so once and goes on; a page that was
// asked for at an address is an error.
func TestAPageThatCannotBeServed(t *testing.T) {
	desk(t, tray)
	talk := &tail{}
	c := newConsole(io.Discard, talk, os.Getenv)
	c.sandbox = inProcess
	c.newPage = func(page.Options) (*page.Server, error) {
		return nil, &net.OpError{Op: "listen", Net: "tcp", Err: os.NewSyscallError("socket", os.ErrPermission)}
	}
	if code := run(t.Context(), c, []string{"watch", "tray.star", "--page", "8080"}); code != int(engine.Broken) {
		t.Errorf("exit %d", code)
	}
	talk.waitFor(t, "creasewright: the page cannot be served at 127.0.0.1:8080: socket: permission denied\n")
	ctx, end := context.WithCancel(t.Context())
	code := make(chan int)
	go func() { code <- run(ctx, c, []string{"watch", "tray.star"}) }()
	const said = "the page cannot be served: socket: permission denied; the watch goes on without it\n"
	talk.waitFor(t, said, "files in tray")
	put(t, "tray.star", broken)
	talk.waitFor(t, "the script does not run")
	end()
	if got := <-code; got != 0 || strings.Count(talk.String(), said) != 1 {
		t.Errorf("exit %d\n%s", got, talk)
	}
}
