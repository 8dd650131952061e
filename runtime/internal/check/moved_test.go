package check

import (
	"context"
	"fmt"
	"math/rand"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/script"
	"github.com/creasewright/creasewright/runtime/internal/script/scripttest"
	"github.com/creasewright/creasewright/runtime/model"
	"github.com/creasewright/creasewright/stdlib"
)

// said is what the rules about the flat blank say of a design, but for what
// depends on how it lies on a bed.
func said(d *model.Design) []string {
	f := gather(d, nil)
	var out []string
	for _, r := range flatRules {
		if r == &pieceTooLarge {
			continue
		}
		for _, g := range r.find(f) {
			out = append(out, r.ID+": "+g.Message)
		}
	}
	slices.Sort(out)
	return out
}

// move places all panels elsewhere and turns the grain with them.
func move(d *model.Design, turn float64, m geom.Isometry) {
	for _, p := range d.Panels {
		p.Flat = p.Flat.Then(m)
	}
	for _, p := range d.Pieces {
		if p.Board.GrainDegrees != nil {
			turned := *p.Board.GrainDegrees + geom.Radians(turn).Degrees()
			stock := *p.Board
			stock.GrainDegrees = &turned
			for _, s := range d.Settings {
				if s.Board == p.Board {
					s.Board = &stock
				}
			}
			p.Board = &stock
		}
	}
}

// Law: how a blank lies in its frame changes nothing that is said of it.
func TestBlanksMayLieAnyhow(t *testing.T) {
	rng := rand.New(rand.NewSource(81))
	compared := 0
	for _, r := range flatRules {
		cases, err := scripttest.Read(fmt.Sprintf("%s/%s.star", faultsFolder, r.ID))
		if err != nil {
			t.Fatal(err)
		}
		for _, c := range cases {
			run := func() *model.Design {
				d, _ := script.Run(context.Background(), c.Store(stdlib.Text), scripttest.Main, withClosed)
				return d
			}
			want := said(run())
			compared += len(want)
			for range 4 {
				turn, moved := rng.Float64()*7, run()
				move(moved, turn, geom.Rotation(geom.Radians(turn), geom.Pt(10, 20)).Then(geom.Translation(rng.Float64()*500, -300)))
				if got := said(moved); !slices.Equal(got, want) {
					t.Errorf("%s, turned by %.3f:\n%q, want\n%q", c.Name, geom.Radians(turn).Degrees(), got, want)
				}
			}
		}
	}
	if compared < 80 {
		t.Errorf("only %d findings compared", compared)
	}
}
