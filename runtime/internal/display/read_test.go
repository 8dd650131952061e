package display_test

import (
	"context"
	"encoding/json"
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// What these tests read of a display. Lists of five numbers are spans.
type (
	shownRun struct {
		Script, Title string
		Exit          int
		Sources       []struct{ File, Text string }
		Params        []struct {
			Name, Kind, Doc   string
			Value, Default    any
			Min, Max, Choices any
			Site              [][5]int
		}
		Kinds    []struct{ Kind, Colour, Does string }
		Pieces   []shownPiece
		Findings []shownFinding
		Waived   []struct{ Rule, On, Reason string }
		Cautions []string
		Prints   []string
	}
	shownPiece struct {
		Name      string
		Bounds    [4]float64
		Area      float64
		Outside   *[3]float64
		InnerSize [3]*float64
		Panels    []struct {
			Name, Role string
			Site       [][5]int
			Flat       [6]float64
			Rings      [][]shownCurve
			Area       float64
			Edges      []struct {
				Name   string
				Curves []shownCurve
			}
		}
		Windows []struct {
			Panel  int
			Site   [][5]int
			Curves []shownCurve
		}
		Hinges []struct {
			Name          string
			Parent, Child int
			Kind          *string
			Closing       bool
			Length        float64
			Site          [][5]int
			Curves        []shownCurve
			Axis          *[2][2]float64
			Height        float64
		}
		Joins []struct {
			Kind  string
			A, B  shownEnd
			Site  [][5]int
			Asked float64
			Gaps  map[string]*float64
		}
		Strokes []struct {
			Kind   string
			Closed bool
			Length float64
			Curves []shownCurve
		}
		Poses    []shownPose
		Contents []struct {
			Name  string
			Size  [3]float64
			Panel int
			Site  [][5]int
			Frame *[12]float64
			Free  map[string]*float64
		}
	}
	shownEnd struct {
		Panel  int
		Edge   *string
		Window *int
		At     []shownCurve
	}
	shownPose struct {
		Name   string
		Panels []*[12]float64
		Folds  []*float64
		Layers []struct{ Stack, Level, Out int }
		Stacks []struct {
			Out  [3]float64
			Held int
		}
		StandsOn *int
		IsFlat   bool
	}
	shownFinding struct {
		Number                        int
		Rule, Severity, Message, Hint string
		Site                          [][5]int
		Related                       []struct {
			Message string
			Site    [][5]int
		}
		Piece, Panel *int
		Pose         string
		At           *[2]float64
	}
	shownMotion struct {
		Piece  int
		Pose   string
		States []struct {
			At     float64
			Panels []*[12]float64
			Folds  []*float64
			Found  bool
		}
	}
	shownCurve []float64
)

// curve reads a curve back.
func (c shownCurve) curve() geom.Curve {
	p := func(i int) geom.Point { return geom.Pt(c[i], c[i+1]) }
	switch c[0] {
	case 0:
		return geom.LineFrom(p(1), p(3))
	case 1:
		return geom.Curve{Kind: geom.Arc, P: p(1), Q: p(3), C: p(5), R: c[7], Sweep: geom.Radians(c[8])}
	}
	return geom.CubicFrom(p(1), p(3), p(5), p(7))
}

// isometry is a flat matrix.
func isometry(m [6]float64) geom.Isometry {
	return geom.Isometry{A: m[0], B: m[1], C: m[2], D: m[3], E: m[4], F: m[5]}
}

// transform is a 3×4 matrix by rows.
func transform(m [12]float64) geom.RigidTransform {
	return geom.RigidTransform{
		R: [9]float64{m[0], m[1], m[2], m[4], m[5], m[6], m[8], m[9], m[10]},
		T: geom.Point3{X: m[3], Y: m[7], Z: m[11]},
	}
}

// decode reads JSON, of which it must be.
func decode[T any](t testing.TB, text []byte) (v T) {
	t.Helper()
	if err := json.Unmarshal(text, &v); err != nil {
		t.Fatalf("%v in %.300s", err, text)
	}
	return v
}

// examples are the labels of the example designs.
func examples(t testing.TB) (names []string) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("..", "..", "..", "scripts", "*.star"))
	if err != nil || len(paths) < 8 {
		t.Fatalf("%d scripts, %v", len(paths), err)
	}
	for _, p := range paths {
		names = append(names, filepath.Base(p))
	}
	return names
}

// scripts reads the example designs.
func scripts(label string) ([]byte, error) {
	text, err := os.ReadFile(filepath.Join("..", "..", "..", "scripts", label))
	if os.IsNotExist(err) {
		return nil, source.ErrAbsent
	}
	return text, err
}

// files are the files of a run by their kind.
func files(t testing.TB, req engine.Request) map[emit.Kind][]byte {
	t.Helper()
	res, err := engine.Run(context.Background(), req)
	if err != nil || res.Exit >= engine.Broken {
		t.Fatalf("%s: %v, %v", req.Script, err, res.Findings)
	}
	out := map[emit.Kind][]byte{}
	for _, f := range res.Files {
		out[f.Kind] = f.Bytes
	}
	return out
}

// showing asks for the display and the report of an example.
func showing(name string) engine.Request {
	return engine.Request{
		Script: name, Read: scripts, Also: []emit.Kind{emit.KindDisplay},
		Formats: emit.Formats().Only([]emit.Kind{emit.KindDisplay, emit.KindReport}),
	}
}

// motion is the way of a piece of an example to a pose.
func motion(t testing.TB, name string, piece int, pose string, shares ...float64) shownMotion {
	t.Helper()
	all := files(t, engine.Request{Script: name, Read: scripts, Motion: &engine.MotionRequest{Piece: piece, Pose: pose, Shares: shares}})
	if len(all) != 1 {
		t.Fatalf("%s: %d files", name, len(all))
	}
	return decode[shownMotion](t, all[emit.KindMotion])
}
