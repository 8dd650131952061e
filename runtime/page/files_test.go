package page

import (
	"context"
	"errors"
	"mime"
	"net/url"
	"strings"
	"testing"
)

// Output files come as the source gives them, under a policy in which nothing runs, and are
// named as they are when they are saved.
func TestOutputFilesCanBeHad(t *testing.T) {
	names := []string{"preview.svg", "tea carton.cut.dxf", "größe \"5\"; x=y.pdf", "100%.png", "report.json", "odd.exe", "a+b&c#d?.svg", "\u202egpj.svg"}
	var files []File
	for _, name := range names {
		files = append(files, File{Name: name})
	}
	s := serve(t, &source{file: func(script int, name string) ([]byte, error) { return []byte("bytes of " + name), nil }})
	s.Show(s.Add(Script{}), Run{Display: display(1), Files: files})
	kinds := []string{"image/svg+xml", "image/vnd.dxf", "application/pdf", "image/png", "application/json", "application/octet-stream", "image/svg+xml", "image/svg+xml"}
	for i, name := range names {
		path := "file/0/" + url.PathEscape(name)
		res, body := ask(t, s, "GET", path, "")
		if body != "bytes of "+name || res.Header.Get("Content-Type") != kinds[i] {
			t.Errorf("%q: %s, %q, %v", name, res.Status, body, res.Header)
		}
		if policy := res.Header.Get("Content-Security-Policy"); strings.Contains(policy, "script-src") || strings.HasSuffix(name, ".svg") && !strings.Contains(policy, "sandbox") {
			t.Errorf("%q: policy %s", name, policy)
		}
		shown := res.Header.Get("Content-Disposition") == ""
		if shown == (kinds[i] == "application/octet-stream") {
			t.Errorf("%q: disposition %q", name, res.Header.Get("Content-Disposition"))
		}
		res, _ = ask(t, s, "GET", path+"?download", "")
		how, params, err := mime.ParseMediaType(res.Header.Get("Content-Disposition"))
		if err != nil || how != "attachment" || params["filename"] != name {
			t.Errorf("%q: disposition %q", name, res.Header.Get("Content-Disposition"))
		}
	}
	s.Show(0, Run{Exit: 2, Files: files[:1]}) // the others have been taken away
	if res, _ := ask(t, s, "GET", "file/0/report.json", ""); res.StatusCode != 404 {
		t.Error(res.Status)
	}
}

// A file that is gone from disk is said to be.
func TestFilesThatAreGone(t *testing.T) {
	s := serve(t, &source{file: func(int, string) ([]byte, error) { return nil, errors.New("preview.svg is gone") }})
	s.Show(s.Add(Script{}), Run{Files: []File{{Name: "preview.svg"}}})
	if res, body := ask(t, s, "GET", "file/0/preview.svg?download", ""); res.StatusCode != 404 || body != "preview.svg is gone\n" || res.Header.Get("Content-Disposition") != "" {
		t.Errorf("%s, %q", res.Status, body)
	}
}

// The editor is started at a line that can be one, once at a time, where there is one.
func TestTheEditorIsStarted(t *testing.T) {
	var got []string
	begun, finish := make(chan struct{}), make(chan struct{})
	src := &source{edit: func(script int, file string, line int) error {
		got = append(got, file)
		if file == "slow.star" {
			close(begun)
			<-finish
		}
		if line == 13 {
			return errors.New("no such editor")
		}
		return nil
	}}
	s := serve(t, src)
	s.Add(Script{Editor: true})
	s.Add(Script{})
	for body, want := range map[string]int{
		`{"file":"tea.star","line":12}`:                                  200,
		`{"file":"//a.star","line":13}`:                                  500,
		`{"file":"tea.star","line":0}`:                                   400,
		`{"file":"tea.star","line":-1}`:                                  400,
		`{"file":"tea.star","line":1.5}`:                                 400,
		`{"file":"","line":1}`:                                           400,
		`{"line":1}`:                                                     400,
		`{"file":"a\nb","line":1}`:                                       400,
		`{"file":"a\u0000b","line":1}`:                                   400,
		`{"file":"` + strings.Repeat("x", longestFile+1) + `","line":1}`: 400,
	} {
		if res, text := ask(t, s, "POST", "edit/0", body); res.StatusCode != want {
			t.Errorf("%.60s: %s, %s", body, res.Status, text)
		}
	}
	if len(got) != 2 {
		t.Errorf("edited: %q", got)
	}
	if res, _ := ask(t, s, "POST", "edit/1", `{"file":"tea.star","line":1}`); res.StatusCode != 404 {
		t.Errorf("a script without editor: %s", res.Status)
	}
	slow := make(chan error)
	go func() {
		_, _, err := send(context.Background(), s, "POST", s.URL()+"edit/0", `{"file":"slow.star","line":1}`)
		slow <- err
	}()
	<-begun
	if res, _ := ask(t, s, "POST", "edit/0", `{"file":"tea.star","line":1}`); res.StatusCode != 503 {
		t.Errorf("two editors at once: %s", res.Status)
	}
	close(finish)
	if err := <-slow; err != nil {
		t.Error(err)
	}
}

// The embedded assets hold a page that names only what is embedded, and nothing inline,
// which the policy would refuse.
func TestAssetsAreWhole(t *testing.T) {
	s := serve(t, &source{})
	s.Add(Script{})
	if _, ok := s.assets[indexName]; !ok {
		t.Fatal("no page")
	}
	for name, a := range s.assets {
		if !strings.HasSuffix(name, ".html") {
			if res, body := ask(t, s, "GET", "a/"+name, ""); body != string(a.body) || res.Header.Get("Content-Type") != a.kind {
				t.Errorf("%s: %s", name, res.Status)
			}
			continue
		}
		for _, line := range strings.Split(string(a.body), "\n") {
			for _, inline := range []string{" style=", "<style", " onclick=", " onload=", "javascript:", "http:", "https:"} {
				if strings.Contains(line, inline) && !strings.Contains(line, "http://www.w3.org/") {
					t.Errorf("%s: %s", name, strings.TrimSpace(line))
				}
			}
		}
	}
}
