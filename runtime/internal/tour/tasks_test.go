package tour

import (
	"bufio"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// published reads the points of an instance of TSPLIB95 as places.
func published(tb testing.TB, name string) []Task {
	tb.Helper()
	f, err := os.Open(filepath.Join("testdata", name+".tsp"))
	if err != nil {
		tb.Fatal(err)
	}
	defer f.Close()
	var out []Task
	for lines := bufio.NewScanner(f); lines.Scan(); {
		var number int
		var p geom.Point
		if n, _ := fmt.Sscan(lines.Text(), &number, &p.X, &p.Y); n == 3 {
			out = append(out, Task{Points: []geom.Point{p}})
		}
	}
	return out
}

// rounded is the length of a closed way in TSPLIB's distances EUC_2D, each
// rounded to a whole number.
func rounded(tasks []Task, visits []Visit) int {
	sum := 0
	for i, v := range visits {
		a, b := tasks[v.Task].Points[0], tasks[visits[(i+1)%len(visits)].Task].Points[0]
		sum += int(a.Dist(b) + 0.5)
	}
	return sum
}

// places is points spread evenly over a square.
func places(rng *rand.Rand, n int, size float64) []Task {
	out := make([]Task, n)
	for i := range out {
		out[i].Points = []geom.Point{geom.Pt(rng.Float64()*size, rng.Float64()*size)}
	}
	return out
}

// strokes is tasks of all sorts, in a few clusters or spread out.
func strokes(rng *rand.Rand, n, starts int, clustered bool) []Task {
	out := make([]Task, n)
	centres := places(rng, 1+n/8, 500)
	for i := range out {
		at := geom.Pt(rng.Float64()*500, rng.Float64()*500)
		if clustered {
			at = centres[rng.Intn(len(centres))].Points[0].Add(geom.Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(8))
		}
		size := 5 + rng.Float64()*40
		switch rng.Intn(3) {
		case 0:
			out[i].Points = []geom.Point{at}
		case 1:
			out[i].Points = []geom.Point{at, at.Add(geom.Pt(rng.NormFloat64(), rng.NormFloat64()).Mul(size))}
		default:
			out[i].Closed = true
			for k := range starts {
				sin, cos := math.Sincos(2 * math.Pi * float64(k) / float64(starts))
				out[i].Points = append(out[i].Points, at.Add(geom.Pt(cos, sin).Mul(size)))
			}
		}
	}
	return out
}

// anyOptions draws where a way begins and ends.
func anyOptions(rng *rand.Rand) Options {
	return Options{From: geom.Pt(rng.Float64()*100, 0), HasFrom: rng.Intn(2) == 0, Return: rng.Intn(2) == 0}
}

// visitsAll checks that each task is done once, and entered at a point it has.
func visitsAll(tb testing.TB, tasks []Task, visits []Visit) {
	tb.Helper()
	seen := make([]int, len(tasks))
	for _, v := range visits {
		seen[v.Task]++
		if v.Start < 0 || v.Start >= len(tasks[v.Task].Points) {
			tb.Fatalf("task %d is entered at %d", v.Task, v.Start)
		}
	}
	for t, n := range seen {
		if n != 1 {
			tb.Fatalf("task %d is done %d times", t, n)
		}
	}
}

// best is the length of the shortest way by the dynamic programme of Held and Karp
// (1962) over sets of tasks, or only over the sequence in which they are given.
func best(tasks []Task, o Options, asGiven bool) float64 {
	least := math.Inf(1)
	enter := func(v Visit) geom.Point { return tasks[v.Task].Points[v.Start] }
	leave := func(v Visit) geom.Point { return tasks[v.Task].Exit(v.Start) }
	var all []Visit
	for t, task := range tasks {
		for s := range task.Points {
			all = append(all, Visit{t, s})
		}
	}
	full := 1<<len(tasks) - 1
	for _, first := range all {
		if first.Task != 0 && (asGiven || o.Return && !o.HasFrom) {
			continue
		}
		cost := map[[2]int]float64{} // by set of tasks and number of the last visit
		for i, v := range all {
			if v == first {
				cost[[2]int{1 << v.Task, i}] = 0
				if o.HasFrom {
					cost[[2]int{1 << v.Task, i}] = o.From.Dist(enter(v))
				}
			}
		}
		for set := 1; set <= full; set++ {
			for i, v := range all {
				c, ok := cost[[2]int{set, i}]
				if !ok {
					continue
				}
				if set == full {
					switch {
					case o.Return && o.HasFrom:
						c += leave(v).Dist(o.From)
					case o.Return:
						c += leave(v).Dist(enter(first))
					}
					least = min(least, c)
				}
				for j, w := range all {
					if set&(1<<w.Task) != 0 || asGiven && w.Task != v.Task+1 {
						continue
					}
					key := [2]int{set | 1<<w.Task, j}
					if old, ok := cost[key]; !ok || c+leave(v).Dist(enter(w)) < old {
						cost[key] = c + leave(v).Dist(enter(w))
					}
				}
			}
		}
	}
	return least
}
