package emit_test

import (
	"fmt"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/emit/emittest"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/model/modeltest"
)

// manyStrokes is line work with about n curves.
func manyStrokes(n int) *blank.Blank {
	rnd := rand.New(rand.NewSource(1))
	all := &blank.Blank{Bounds: geom.EmptyBox()}
	for curves := 0; curves < n; {
		b := emittest.RandomBlank(rnd)
		all.Bounds = all.Bounds.Union(b.Bounds)
		for _, l := range b.Layers {
			all.Layers = append(all.Layers, l)
			curves += len(emittest.Curves(l))
		}
	}
	return all
}

func BenchmarkCutFiles(b *testing.B) {
	for _, n := range []int{100, 1000, 10000, 100000} {
		sheet := manyStrokes(n)
		for _, f := range []struct {
			name  string
			write func(*blank.Blank, bool) []byte
		}{{"svg", svgOf}, {"dxf", dxfOf}} {
			b.Run(fmt.Sprintf("%s/%d", f.name, n), func(b *testing.B) {
				for b.Loop() {
					b.SetBytes(int64(len(f.write(sheet, false))))
				}
			})
		}
	}
}

func BenchmarkReport(b *testing.B) {
	for _, n := range []int{10, 100, 1000, 10000} {
		d := modeltest.Bricks(rand.New(rand.NewSource(1)), n, geom.Identity()).Design
		sheet := &blank.Blank{Piece: d.Pieces[0]}
		for _, p := range d.Panels {
			sheet.Regions = append(sheet.Regions, blank.Region{Panel: p})
		}
		for _, h := range d.Hinges {
			sheet.Hinges = append(sheet.Hinges, blank.HingeLine{Hinge: h, Kind: blank.ScoreLine})
		}
		run := emit.Run{Script: "bricks.star", Design: d, Blanks: []*blank.Blank{sheet}}
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				b.SetBytes(int64(len(reportOf(run))))
			}
		})
	}
}
