package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// hostile is one script of testdata/hostile, and what lies about it.
//
// A file there holds many scripts. A line "--- TITLE" begins one, and a line
// "--> file NAME" another file beside it; the others of these lines are in
// setUp. <<N*TEXT>> stands for N times the text, with \n and \xNN as in Go. In a
// comment, #! and a message, or a part of one, mark the line that must have it;
// at the left margin they ask for it wherever it is.
type hostile struct {
	file, title string
	parts       []part // the script first
	wants       []hostileWant
}

// part is one "-->" line and the text below it.
type part struct {
	kind, name string
	rest       string // of the line
	text       strings.Builder
	lines      int
}

type hostileWant struct {
	file    string // label
	line    int    // 0 for anywhere
	message string
}

// hostiles reads all hostile scripts.
func hostiles(t *testing.T) []*hostile {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("..", "..", "testdata", "hostile", "*.star"))
	if err != nil {
		t.Fatal(err)
	}
	var all []*hostile
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		for _, line := range strings.Split(strings.TrimSuffix(string(text), "\n"), "\n") {
			if title, ok := strings.CutPrefix(line, "--- "); ok {
				h := &hostile{file: strings.TrimSuffix(filepath.Base(path), ".star"), title: title}
				h.parts = []part{{kind: "file", name: "script.star"}}
				all = append(all, h)
				continue
			}
			all[len(all)-1].add(line)
		}
	}
	return all
}

// add takes one line.
func (h *hostile) add(line string) {
	if rest, ok := strings.CutPrefix(line, "--> "); ok {
		words := strings.SplitN(rest, " ", 3)
		h.parts = append(h.parts, part{kind: words[0], name: words[1], rest: strings.Join(words[2:], "")})
		return
	}
	p := &h.parts[len(h.parts)-1]
	p.lines++
	if i := strings.LastIndex(line, "#! "); i >= 0 {
		w := hostileWant{file: p.label(), line: p.lines, message: line[i+len("#! "):]}
		if i == 0 {
			w.line = 0
		}
		h.wants = append(h.wants, w)
	}
	p.text.WriteString(repeated(line) + "\n")
}

// label is how the program calls the part.
func (p *part) label() string {
	if p.kind == "shelf" {
		return "@shelf//" + p.name
	}
	return p.name
}

var repetition = regexp.MustCompile(`<<(\d+)\*(.*?)>>`)

// repeated writes out what is to be repeated.
func repeated(line string) string {
	return repetition.ReplaceAllStringFunc(line, func(s string) string {
		m := repetition.FindStringSubmatch(s)
		n, err := strconv.Atoi(m[1])
		if err != nil {
			panic(err)
		}
		text, err := strconv.Unquote(`"` + strings.NewReplacer(`"`, `\"`, `\\`, `\\`, `\0`, `\x00`).Replace(m[2]) + `"`)
		if err != nil {
			panic(fmt.Sprintf("%s: %v", s, err))
		}
		return strings.Repeat(text, n)
	})
}

// setUp lays out the script's folder, the shelf and a secret beside them.
func (h *hostile) setUp(t *testing.T) (dir string) {
	t.Helper()
	dir = t.TempDir()
	for _, name := range []string{"script", "shelf"} {
		if err := os.Mkdir(filepath.Join(dir, name), 0o755); err != nil {
			t.Fatal(err)
		}
	}
	put(t, filepath.Join(dir, "secret.star"), "x = \"secret\"\n")
	for i := range h.parts {
		p := &h.parts[i]
		here, there := filepath.Join(dir, "script", p.name), filepath.Join(dir, "shelf", p.name)
		var err error
		switch p.kind {
		case "file":
			put(t, here, p.text.String())
		case "shelf":
			put(t, there, p.text.String())
		case "link":
			err = os.Symlink(p.rest, here)
		case "shelf-link":
			err = os.Symlink(p.rest, there)
		case "folder":
			err = os.Mkdir(here, 0o755)
		case "size": // a hole of that many bytes
			put(t, here, "")
			var n int64
			if n, err = strconv.ParseInt(p.rest, 10, 64); err == nil {
				err = os.Truncate(here, n)
			}
		case "pipe":
			err = makePipe(here)
		default:
			t.Fatalf("%s: what is %q?", h.title, p.kind)
		}
		if err != nil {
			t.Fatalf("%s: %v", h.title, err)
		}
	}
	return dir
}

// anyLimit matches the messages of those limits of which now one and now the
// other is passed first, as the machine is fast or slow. Scripts ask for it by
// "a limit".
const anyLimit = `(the run takes more than|the run needs more than|the script takes more than|the script prints more than|values stand within one another too deeply)`

// missing lists the expected messages that were not given. One that stands in a
// loaded file is told at the script's own line, with the place below it.
func (h *hostile) missing(talk string) (out []string) {
	for _, w := range h.wants {
		line := `(:\d+:\d+)?`
		if w.line > 0 {
			line = fmt.Sprintf(`:%d:\d+`, w.line)
		}
		// What lies on the shelf is told by its path, which begins with the folder named.
		spot := regexp.QuoteMeta(strings.Replace(w.file, "@shelf//", "shelf/", 1)) + line + `: `
		message := regexp.QuoteMeta(w.message)
		if w.message == "a limit" {
			message = anyLimit
		}
		found := regexp.MustCompile(`(?m)^(script/)?` + spot + `error: .*` + message).MatchString(talk)
		if w.file != "script.star" {
			found = regexp.MustCompile(spot).MatchString(talk) && regexp.MustCompile(message).MatchString(talk)
		}
		if !found {
			out = append(out, fmt.Sprintf("%s:%d %q", w.file, w.line, w.message))
		}
	}
	return out
}
