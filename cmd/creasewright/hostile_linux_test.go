package main

import (
	"bytes"
	"context"
	"errors"
	"io/fs"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
	"unicode"

	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// What any script may take before it is told off: the bounds of the contract
// with its user, a little above the limits themselves.
const (
	mostTime   = 8 * time.Second // of processors, by the program and its child: a design of many panels has six
	mostMemory = 600 << 10       // KB, of the program or its child
)

func makePipe(path string) error { return syscall.Mkfifo(path, 0o644) }

// hung is when a run counts as one that never ends. No time by the clock is
// judged: other work on the machine would be.
const hung = 5 * time.Minute

// worst is the most that any script took.
type worst struct {
	mu           sync.Mutex
	time         time.Duration
	memory       int64
	slow, greedy string
	scripts      int
}

func (w *worst) add(title string, r ranHostile) {
	w.mu.Lock()
	defer w.mu.Unlock()
	w.scripts++
	if r.took > w.time {
		w.time, w.slow = r.took, title
	}
	if r.memory > w.memory {
		w.memory, w.greedy = r.memory, title
	}
}

// Each hostile script ends in time and within memory, with a message that says
// where, and nothing is written outside the output folder. Every seventh is run
// unless outside readers are asked for: some take the seconds they may.
func TestHostileScripts(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	all := hostiles(t)
	if len(all) < 150 {
		t.Errorf("only %d hostile scripts", len(all))
	}
	step := outsidetest.Times(t, 7, 1)
	w := &worst{}
	t.Run("scripts", func(t *testing.T) {
		for i := 0; i < len(all); i += step {
			h := all[i]
			t.Run(h.file+"/"+h.title, func(t *testing.T) {
				t.Parallel()
				h.run(t, w)
			})
		}
	})
	t.Logf("%d scripts; at worst %.2f s of processor time (%s) and %d MB (%s)",
		w.scripts, w.time.Seconds(), w.slow, w.memory>>10, w.greedy)
}

// run runs one hostile script and looks at everything it did.
func (h *hostile) run(t *testing.T, w *worst) {
	dir := h.setUp(t)
	before := treeOf(t, dir)
	r := runHostile(t, dir)
	w.add(h.file+"/"+h.title, r)
	if r.code != engine.Faulty && r.code != engine.Broken {
		t.Errorf("exit %d\n%s", r.code, firstPart(r.talk))
	}
	if r.took > mostTime || r.memory > mostMemory {
		t.Errorf("took %v and %d MB", r.took, r.memory>>10)
	}
	if !located.MatchString(r.talk) {
		t.Errorf("no place in\n%s", firstPart(r.talk))
	}
	for _, m := range h.missing(r.talk) {
		t.Errorf("nothing said of %s in\n%s", m, firstPart(r.talk))
	}
	if strings.Contains(r.talk, `"secret"`) {
		t.Errorf("the secret is told:\n%s", firstPart(r.talk))
	}
	checkTalk(t, r.talk)
	checkOutputs(t, filepath.Join(dir, "out"))
	if after := treeOf(t, dir); after != before {
		t.Errorf("outside the output folder there was\n%sand there is\n%s", before, after)
	}
}

// located matches a finding with its place.
var located = regexp.MustCompile(`(?m)^(script\.star|[^:\n]+\.star)(:\d+:\d+)?: error: `)

func firstPart(s string) string { return s[:min(len(s), 1500)] }

// ranHostile is what a run came to.
type ranHostile struct {
	code   engine.Exit
	talk   string
	took   time.Duration // of processors, by the program and its child
	memory int64         // KB, of the program or its child, whichever took more
}

func runHostile(t *testing.T, dir string) ranHostile {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	var talk bytes.Buffer
	ctx, stop := context.WithTimeout(t.Context(), hung)
	defer stop()
	cmd := exec.CommandContext(ctx, path, "make", filepath.Join("script", "script.star"), "-o", "out", "--shelf", "shelf")
	cmd.Dir, cmd.Stdout, cmd.Stderr = dir, &talk, &talk
	err = cmd.Run()
	r := ranHostile{talk: talk.String(), code: engine.Exit(cmd.ProcessState.ExitCode())}
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Fatal(err)
	}
	r.took = cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	r.memory = cmd.ProcessState.SysUsage().(*syscall.Rusage).Maxrss
	return r
}

// treeOf lists everything below a folder but what is in the output folder.
func treeOf(t *testing.T, dir string) string {
	t.Helper()
	var out strings.Builder
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(dir, path)
		if rel == "out" {
			return fs.SkipDir
		}
		info, err2 := d.Info()
		if err := errors.Join(err, err2); err != nil {
			return err
		}
		// A folder's own size and time change with what is written into it, so
		// they count too, but for the one that holds the output folder.
		if rel != "." {
			out.WriteString(rel + " " + info.Mode().String() + " " + info.ModTime().String() + "\n")
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out.String()
}

// checkTalk checks that nothing a script wrote can steer a terminal.
func checkTalk(t *testing.T, talk string) {
	t.Helper()
	for _, r := range talk {
		if r == '\n' {
			continue
		}
		if unicode.In(r, unicode.Cc, unicode.Zl, unicode.Zp) || unicode.Is(unicode.Bidi_Control, r) || r == unicode.ReplacementChar {
			t.Errorf("the terminal is sent %U", r)
			return
		}
	}
}

// What the scripts with odd names make when nothing is wrong with them, cut
// files and all, parses as what it is, and so do their findings in every
// format.
func TestHostileNamesInEveryFile(t *testing.T) {
	if _, err := binary(); err != nil {
		t.Fatal(err)
	}
	made := 0
	for _, h := range hostiles(t) {
		text := h.parts[0].text.String()
		cut := strings.LastIndex(text, "\nrequire(False, ")
		if h.file != "names" || cut < 0 {
			continue
		}
		made++
		dir := h.setUp(t)
		checkFormats(t, h, dir)
		put(t, filepath.Join(dir, "script", "script.star"), text[:cut+1])
		r := runHostile(t, dir)
		if r.code != engine.Clean {
			t.Errorf("%s: exit %d\n%s", h.title, r.code, firstPart(r.talk))
		}
		checkTalk(t, r.talk)
		checkOutputs(t, filepath.Join(dir, "out"))
		if files := folder(t, filepath.Join(dir, "out")); len(files) != 4 {
			t.Errorf("%s: %d files", h.title, len(files))
		}
	}
	if made < 10 {
		t.Errorf("only %d scripts", made)
	}
}

// checkFormats checks a script's findings as JSON and as SARIF.
func checkFormats(t *testing.T, h *hostile, dir string) {
	t.Helper()
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	for _, format := range []string{"json", "sarif"} {
		ctx, stop := context.WithTimeout(t.Context(), hung)
		defer stop()
		cmd := exec.CommandContext(ctx, path, "check", "--format", format, filepath.Join(dir, "script", "script.star"))
		out, err := cmd.Output()
		if cmd.ProcessState.ExitCode() != int(engine.Faulty) {
			t.Errorf("%s as %s: %v", h.title, format, err)
		}
		checkJSON(t, h.title+" as "+format, out)
	}
}

// The script's own name may be as odd as a file system allows.
func TestHostileScriptNames(t *testing.T) {
	path, err := binary()
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{
		"<b>&\"'.star", "\x1b[31mred\x07.star", "\u202egnp.star", "a\nb\tc\r.star", "--help.star", "-o.star", " .star", "%s%n$(id)`id`;.star",
		"\u2028\u0085.star", strings.Repeat("x", 200) + ".star",
	} {
		for code, text := range map[engine.Exit]string{engine.Clean: tray, engine.Faulty: faulty, engine.Broken: broken} {
			dir := t.TempDir()
			put(t, filepath.Join(dir, name), text)
			ctx, stop := context.WithTimeout(t.Context(), hung)
			defer stop()
			cmd := exec.CommandContext(ctx, path, "make", "-o", "out", "./"+name)
			cmd.Dir = dir
			talk, err := cmd.CombinedOutput()
			if got := engine.Exit(cmd.ProcessState.ExitCode()); got != code {
				t.Errorf("%q: exit %d, %v\n%s", name, got, err, talk)
			}
			checkTalk(t, string(talk))
			checkOutputs(t, filepath.Join(dir, "out"))
		}
	}
}
