package page

import (
	"bufio"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"net/http"
	"strings"
	"testing"
	"time"
)

// source is a Source made of functions. What a test does not give fails.
type source struct {
	try    func(ctx context.Context, script int, params map[string]string, stage func(string)) (Run, error)
	motion func(ctx context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error)
	file   func(script int, name string) ([]byte, error)
	edit   func(script int, file string, line int) error
}

var errNone = errors.New("the test has none")

func (s *source) Try(ctx context.Context, script int, params map[string]string, stage func(string)) (Run, error) {
	if s.try == nil {
		return Run{}, errNone
	}
	return s.try(ctx, script, params, stage)
}

func (s *source) Motion(ctx context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
	if s.motion == nil {
		return nil, errNone
	}
	return s.motion(ctx, script, params, piece, pose, shares)
}

func (s *source) File(script int, name string) ([]byte, error) {
	if s.file == nil {
		return nil, errNone
	}
	return s.file(script, name)
}

func (s *source) Edit(script int, file string, line int) error {
	if s.edit == nil {
		return errNone
	}
	return s.edit(script, file, line)
}

// serve starts a server for a test.
func serve(t testing.TB, src Source) *Server {
	t.Helper()
	s, err := New(Options{Source: src})
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() {
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
	return s
}

// ask sends a request to a path below the token, as a page of ours does, or with headers
// that differ.
func ask(t testing.TB, s *Server, method, path, body string, headers ...string) (*http.Response, string) {
	t.Helper()
	res, text, err := send(t.Context(), s, method, s.URL()+path, body, headers...)
	if err != nil {
		t.Fatal(err)
	}
	return res, text
}

// send is ask with the whole address. A header "Host" is the request's host; an empty value
// takes a header away.
func send(ctx context.Context, s *Server, method, url, body string, headers ...string) (*http.Response, string, error) {
	r, err := http.NewRequestWithContext(ctx, method, url, strings.NewReader(body))
	if err != nil {
		return nil, "", err
	}
	if method == http.MethodPost {
		r.Header.Set("Origin", "http://"+s.addr)
		r.Header.Set("Content-Type", "application/json")
	}
	for i := 0; i < len(headers); i += 2 {
		switch name, value := headers[i], headers[i+1]; {
		case name == "Host":
			r.Host = value
		case value == "":
			r.Header.Del(name)
		default:
			r.Header.Set(name, value)
		}
	}
	res, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		return nil, "", err
	}
	defer res.Body.Close()
	text, err := io.ReadAll(res.Body)
	return res, string(text), err
}

// follower reads a page's events.
type follower struct {
	t   testing.TB
	res *http.Response
	in  *bufio.Scanner
}

func follow(t testing.TB, s *Server) *follower {
	t.Helper()
	ctx, cancel := context.WithCancel(context.Background())
	r, err := http.NewRequestWithContext(ctx, http.MethodGet, s.URL()+"events", nil)
	if err != nil {
		t.Fatal(err)
	}
	res, err := http.DefaultTransport.RoundTrip(r)
	if err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { cancel(); res.Body.Close() })
	if kind := res.Header.Get("Content-Type"); res.StatusCode != http.StatusOK || kind != "text/event-stream" {
		t.Fatalf("%s, %s", res.Status, kind)
	}
	in := bufio.NewScanner(res.Body)
	in.Buffer(nil, 1<<24)
	return &follower{t, res, in}
}

// until reads states until one is as wanted. What never comes is ended by the
// test's own deadline.
func (f *follower) until(want func(State) bool) State {
	f.t.Helper()
	for f.in.Scan() {
		data, ok := strings.CutPrefix(f.in.Text(), "data: ")
		if !ok {
			continue
		}
		var state State
		if err := json.Unmarshal([]byte(data), &state); err != nil {
			f.t.Fatal(err)
		}
		if want(state) {
			return state
		}
	}
	f.t.Fatal("the stream has ended: ", f.in.Err())
	return State{}
}

// shows waits for a script's run with some digest.
func (f *follower) shows(script int, digest string) Status {
	f.t.Helper()
	state := f.until(func(s State) bool { return len(s.Scripts) > script && s.Scripts[script].Digest == digest })
	return state.Scripts[script]
}

// display is a made-up display: the server does not look into it.
func display(n int) []byte { return fmt.Appendf(nil, `{"format":"creasewright-display","n":%d}`, n) }

// A page is served at the URL that the server names.
func TestThePageIsServed(t *testing.T) {
	s := serve(t, &source{})
	res, body := ask(t, s, http.MethodGet, "", "")
	if res.StatusCode != http.StatusOK || !strings.Contains(body, "a/app.bundle.js") || res.Header.Get("Content-Type") != "text/html; charset=utf-8" {
		t.Errorf("%s, %v, %.200q", res.Status, res.Header, body)
	}
}

// A page is told of scripts as they come and go, and of runs; the last good display
// outlives a broken run.
func TestPagesAreToldOfRuns(t *testing.T) {
	s := serve(t, &source{})
	page := follow(t, s)
	page.until(func(s State) bool { return len(s.Scripts) == 0 })

	id := s.Add(Script{Name: "tea.star", Path: "/x/tea.star", Folder: "/x", Editor: true, Command: "creasewright make tea.star"})
	other := s.Add(Script{Name: "b.star"})
	page.until(func(s State) bool { return len(s.Scripts) == 2 && s.Scripts[0].Command == "creasewright make tea.star" })

	s.Show(id, Run{Display: display(1), Exit: 1, Files: []File{{"preview.svg", "preview", 9}}, Took: 18 * time.Millisecond})
	good := digestOf(display(1))
	got := page.shows(0, good)
	if got.Last != good || got.Exit != 1 || got.Took != 18 || len(got.Files) != 1 || got.Stage != "" || got.Name != "tea.star" || !got.Editor {
		t.Errorf("%+v", got)
	}

	s.Show(id, Run{Exit: 2, Fault: "tea.star:1: a <b>\nfault", Gone: true})
	state := page.until(func(s State) bool { return s.Scripts[0].Exit == 2 })
	if got := state.Scripts[0]; got.Digest != "" || got.Last != good || got.Fault != "tea.star:1: a <b>\nfault" || !got.Gone || got.Files == nil {
		t.Errorf("%+v", got)
	}
	if res, body := ask(t, s, http.MethodGet, "data/"+good, ""); body != string(display(1)) {
		t.Errorf("the last good display is lost: %s", res.Status)
	}

	s.Remove(other)
	page.until(func(s State) bool { return len(s.Scripts) == 1 })
	s.Show(other, Run{Display: display(2)}) // too late
	if res, _ := ask(t, s, http.MethodGet, "data/"+digestOf(display(2)), ""); res.StatusCode != http.StatusNotFound {
		t.Error(res.Status)
	}
}
