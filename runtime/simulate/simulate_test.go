package simulate_test

import (
	"context"
	"errors"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"

	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/runtime/simulate"
)

// examples are the example scripts of one piece and its states by pose.
func examples(t *testing.T, try func(name string, s *simulate.State)) {
	t.Helper()
	files, err := filepath.Glob(filepath.Join("..", "..", "scripts", "*.star"))
	if err != nil || len(files) == 0 {
		t.Fatal(err, files)
	}
	for _, file := range files {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if strings.Contains(string(text), `load("@`) || strings.Contains(string(text), `load(":`) {
			continue // needs files beside it
		}
		d, blanks := laid(t, string(text))
		pieces, err := simulate.Run(context.Background(), d, blanks)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pieces {
			for _, s := range p.States {
				try(filepath.Base(file)+" "+s.Pose.Name, s)
			}
		}
	}
}

// Law: on the way to a pose every given fold stands at its share; at 0 the piece
// is flat, one board thick, and nothing crosses or lies on anything; at 1 it is
// in the pose.
func TestTheWayToPoses(t *testing.T) {
	ctx := context.Background()
	states := 0
	examples(t, func(name string, s *simulate.State) {
		states++
		if end, err := s.At(ctx, 1); err != nil || end != s {
			t.Errorf("%s at 1: %v, %v", name, end, err)
		}
		start, err := s.At(ctx, 0)
		if err != nil {
			t.Fatal(err)
		}
		if len(start.Penetrations) > 0 || len(slices.Collect(start.Layers())) > 0 || !start.Flat && !bent(s.Piece) || start.Flat && start.Thickness != 1 {
			t.Errorf("%s at 0: flat %v, %d boards thick, crossings %v", name, start.Flat, start.Thickness, start.Penetrations)
		}
		half, err := s.At(ctx, 0.5)
		if err != nil {
			t.Fatal(err)
		}
		for k, h := range s.Piece.Hinges {
			if a, b := half.Folds[k], s.Folds[k]; h.Fold.Free == nil && a.OK && (a.Degrees-b.Degrees/2).Abs() > 1e-9 {
				t.Errorf("%s: hinge %q stands at %g half-way to %g", name, h.Name, a.Degrees, b.Degrees)
			}
		}
	})
	if states < 10 {
		t.Errorf("only %d states", states)
	}
}

// bent reports whether some panel of a piece is never flat in a pose.
func bent(p *model.Piece) bool {
	return slices.ContainsFunc(p.Panels, func(q *model.Panel) bool { return q.Bent })
}

// A share beyond the pose is an error, and so is the context's end.
func TestAtRefuses(t *testing.T) {
	d, blanks := laid(t, joined)
	pieces, err := simulate.Run(context.Background(), d, blanks)
	if err != nil {
		t.Fatal(err)
	}
	s := pieces[0].States[0]
	for _, at := range []float64{-0.1, 1.1, math.NaN()} {
		if _, err := s.At(context.Background(), at); err == nil {
			t.Errorf("at %g there is no error", at)
		}
	}
	ended, end := context.WithCancel(context.Background())
	end()
	if _, err := s.At(ended, 0.5); !errors.Is(err, context.Canceled) {
		t.Errorf("ended, the error is %v", err)
	}
}

// States may be read and asked for others by several goroutines, and give what
// they give alone.
func TestStatesAreShared(t *testing.T) {
	d, blanks := laid(t, joined)
	pieces, err := simulate.Run(context.Background(), d, blanks)
	if err != nil {
		t.Fatal(err)
	}
	s := pieces[0].States[0]
	look := func() []any {
		half, err := s.At(context.Background(), 0.5)
		if err != nil {
			t.Error(err)
			return nil
		}
		fit, _, _ := s.Fit(context.Background(), d.Contents[0])
		return []any{half.Placements, half.Penetrations, slices.Collect(s.Layers()), fit}
	}
	want := look()
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for range 5 {
				if got := look(); !reflect.DeepEqual(got, want) {
					t.Errorf("got %v, want %v", got, want)
				}
			}
		})
	}
	all.Wait()
}
