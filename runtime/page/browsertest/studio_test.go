package browsertest_test

import (
	"context"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/page"
	"github.com/creasewright/creasewright/runtime/page/browsertest"
	"github.com/creasewright/creasewright/runtime/simulate"
	"github.com/creasewright/creasewright/runtime/source"
	"github.com/creasewright/creasewright/stdlib"
)

// studio runs scripts from memory, in this process, for a page that it serves.
type studio struct {
	*page.Server
	t testing.TB

	mu      sync.Mutex
	texts   map[string]string            // by label
	shown   map[string]string            // the last texts that gave a design
	scripts []string                     // labels, by number
	files   map[string]map[string][]byte // of each script's last run, by name
	tries   int                          // runs that were asked for by pages
	edited  []string                     // what was asked of the editor, "file:line"
}

// newStudio serves a page for some scripts, texts by label.
func newStudio(t testing.TB, texts map[string]string) *studio {
	t.Helper()
	s := &studio{t: t, texts: maps.Clone(texts), shown: map[string]string{}, files: map[string]map[string][]byte{}}
	server, err := page.New(page.Options{Source: s})
	if err != nil {
		t.Fatal(err)
	}
	s.Server = server
	t.Cleanup(func() { _ = server.Close() })
	for _, label := range slices.Sorted(maps.Keys(texts)) {
		s.scripts = append(s.scripts, label)
		s.Add(page.Script{
			Name: label, Path: "/desk/" + label, Folder: "/desk/" + strings.TrimSuffix(label, ".star"),
			Editor: true, Command: "creasewright make " + label,
		})
		s.save(label, texts[label])
	}
	return s
}

// examples are scripts of the project, by label.
func examples(t testing.TB, names ...string) map[string]string {
	t.Helper()
	out := map[string]string{}
	for _, name := range names {
		text, err := os.ReadFile(filepath.Join("..", "..", "..", "scripts", name))
		if err != nil {
			t.Fatal(err)
		}
		out[name] = string(text)
	}
	return out
}

// text reads a label for a run. The lock is not held.
func (s *studio) text(label string) ([]byte, error) {
	if text, ok := stdlib.Text(label); ok {
		return text, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if text, ok := s.texts[label]; ok {
		return []byte(text), nil
	}
	return nil, source.ErrAbsent
}

// save gives a script another text, runs it and shows what comes of it.
func (s *studio) save(label, text string) {
	s.t.Helper()
	s.mu.Lock()
	s.texts[label] = text
	s.mu.Unlock()
	run, files, err := s.run(context.Background(), label, nil)
	if err != nil {
		s.t.Fatal(err)
	}
	s.mu.Lock()
	if run.Display != nil {
		s.shown[label] = text
	}
	if run.Exit == int(engine.Clean) {
		s.files[label] = files
	}
	for _, name := range slices.Sorted(maps.Keys(s.files[label])) {
		run.Files = append(run.Files, page.File{Name: name, Kind: filepath.Ext(name), Size: int64(len(s.files[label][name]))})
	}
	s.mu.Unlock()
	s.Show(slices.Index(s.scripts, label), run)
}

// run makes a design. Its display is none of the files.
func (s *studio) run(ctx context.Context, label string, params map[string]string) (out page.Run, files map[string][]byte, err error) {
	result, err := engine.Run(ctx, engine.Request{Script: label, Read: s.text, Params: params, Also: []emit.Kind{emit.KindDisplay}})
	if err != nil {
		return page.Run{}, nil, err
	}
	out.Exit = int(result.Exit)
	files = map[string][]byte{}
	for _, f := range result.Files {
		if f.Kind == emit.KindDisplay {
			out.Display = f.Bytes
		} else {
			files[f.Name] = f.Bytes
		}
	}
	if result.Exit >= engine.Broken {
		for _, f := range result.Findings {
			out.Fault += fmt.Sprintln(f.Message)
		}
	}
	return out, files, nil
}

func (s *studio) Try(ctx context.Context, script int, params map[string]string, stage func(string)) (page.Run, error) {
	s.mu.Lock()
	s.tries++
	label := s.scripts[script]
	s.mu.Unlock()
	stage("script")
	run, _, err := s.run(ctx, label, params)
	return run, err
}

func (s *studio) Motion(ctx context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
	s.mu.Lock()
	label := s.scripts[script]
	shown := s.shown[label]
	s.mu.Unlock()
	read := func(name string) ([]byte, error) {
		if name == label {
			return []byte(shown), nil
		}
		return s.text(name)
	}
	result, err := engine.Run(ctx, engine.Request{
		Script: label, Read: read, Params: params,
		Motion: &engine.MotionRequest{Piece: piece, Pose: pose, Shares: shares},
	})
	if err != nil {
		return nil, err
	}
	if len(result.Files) != 1 || result.Files[0].Kind != emit.KindMotion {
		return nil, fmt.Errorf("no motion: %v", result.Findings)
	}
	return result.Files[0].Bytes, nil
}

func (s *studio) File(script int, name string) ([]byte, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if bytes, ok := s.files[s.scripts[script]][name]; ok {
		return bytes, nil
	}
	return nil, errors.New("there is no such file")
}

func (s *studio) Edit(_ int, file string, line int) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.edited = append(s.edited, fmt.Sprintf("%s:%d", file, line))
	return nil
}

// open gives a tab in which the page is drawn.
func (s *studio) open() *browsertest.Tab {
	s.t.Helper()
	return browsertest.OpenLive(s.t, s.URL())
}

// design runs a script alone.
func (s *studio) design(ctx context.Context, label string, params map[string]string) (*model.Design, error) {
	design, findings := script.Run(ctx, source.NewStore(s.text), label,
		script.Options{Library: stdlib.Functions, Closed: simulate.Closed, Params: params})
	if design == nil {
		return nil, fmt.Errorf("%v %v", context.Cause(ctx), findings)
	}
	return design, nil
}

// folded gives a script's design and its pieces in their poses, made without the page.
func (s *studio) folded(ctx context.Context, label string, params map[string]string) (*model.Design, []*simulate.Piece, error) {
	design, err := s.design(ctx, label, params)
	if err != nil {
		return nil, nil, err
	}
	var blanks []*blank.Blank
	for _, p := range design.Pieces {
		b, _, err := blank.Lay(ctx, p, design.Poses)
		if err != nil {
			return nil, nil, err
		}
		blanks = append(blanks, b)
	}
	pieces, err := simulate.Run(ctx, design, blanks)
	return design, pieces, err
}

// try runs a text as the first script would be, and shows nothing.
func (s *studio) try(text string) page.Run {
	s.t.Helper()
	other := &studio{t: s.t, texts: map[string]string{s.scripts[0]: text}}
	run, _, err := other.run(context.Background(), s.scripts[0], nil)
	if err != nil {
		s.t.Fatal(err)
	}
	return run
}
