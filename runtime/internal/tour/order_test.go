package tour

import (
	"context"
	"fmt"
	"math"
	"math/rand"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/internal/canceltest"
)

func order(tb testing.TB, tasks []Task, o Options) ([]Visit, float64) {
	tb.Helper()
	visits, length, err := Order(context.Background(), tasks, o)
	if err != nil {
		tb.Fatal(err)
	}
	visitsAll(tb, tasks, visits)
	if got := Length(tasks, visits, o); got != length {
		tb.Fatalf("the length is said to be %g and is %g", length, got)
	}
	return visits, length
}

// The optima: G. Reinelt, TSPLIB, ORSA Journal on Computing 3 (1991) 376–384.
func TestPublished(t *testing.T) {
	for name, optimum := range map[string]int{"eil51": 426, "berlin52": 7542, "kroA100": 21282, "a280": 2579} {
		tasks := published(t, name)
		visits, _ := order(t, tasks, Options{Return: true})
		got := rounded(tasks, visits)
		t.Logf("%s: %d points, %d, optimum %d", name, len(tasks), got, optimum)
		if got < optimum || float64(got) > 1.02*float64(optimum) {
			t.Errorf("%s: %d, optimum %d", name, got, optimum)
		}
	}
}

// Law: few tasks of all sorts are done in the shortest way, up to a hundredth of it,
// mostly in just that; never in a shorter one than there is.
func TestShortest(t *testing.T) {
	rng := rand.New(rand.NewSource(1))
	const tries = 150
	exact := 0
	for range tries {
		n := 1 + rng.Intn(7)
		tasks := strokes(rng, n, 1+rng.Intn(5), rng.Intn(2) == 0)
		o := anyOptions(rng)
		_, got := order(t, tasks, o)
		want := best(tasks, o, false)
		if got < want-1e-9 || got > 1.01*want+1e-9 {
			t.Errorf("%d tasks, %+v: %g, the shortest is %g", n, o, got, want)
		}
		if got < want+1e-6 {
			exact++
		}
	}
	if exact < tries*97/100 {
		t.Errorf("%d of %d are the shortest", exact, tries)
	}
}

// Law: the same with more tasks that have fewer starts.
func TestShortestPlaces(t *testing.T) {
	rng := rand.New(rand.NewSource(2))
	for range 6 {
		tasks := places(rng, 11, 100)
		o := anyOptions(rng)
		_, got := order(t, tasks, o)
		if want := best(tasks, o, false); math.Abs(got-want) > 1e-9 {
			t.Errorf("%+v: %g, the shortest is %g", o, got, want)
		}
	}
}

// Random points in a square of area A have a shortest closed way of about
// 0.7124·√(nA)·(1 + 0.33/√n …): the constant is that of Beardwood, Halton and
// Hammersley (1959), 0.7124 its value by Johnson and McGeoch (1997), who found
// 0.7313·√(nA) for 1,000 points with the square's border (values from memory).
func TestRandomPoints(t *testing.T) {
	const n, size = 1000, 1000.0
	var sum float64
	const tries = 3
	for seed := range int64(tries) {
		_, l := order(t, places(rand.New(rand.NewSource(seed)), n, size), Options{Return: true})
		sum += l / math.Sqrt(n*size*size) / tries
	}
	t.Logf("%.4f √(nA)", sum)
	if sum < 0.7124 || sum > 1.03*0.7313 {
		t.Errorf("%.4f √(nA), shortest ways have 0.7313", sum)
	}
}

// Law: the sequence in which the tasks are given changes nothing but rounding.
func TestPermuted(t *testing.T) {
	rng := rand.New(rand.NewSource(3))
	for range 20 {
		tasks := strokes(rng, 2+rng.Intn(60), 5, rng.Intn(2) == 0)
		o := anyOptions(rng)
		_, want := order(t, tasks, o)
		rng.Shuffle(len(tasks), func(i, j int) { tasks[i], tasks[j] = tasks[j], tasks[i] })
		if _, got := order(t, tasks, o); math.Abs(got-want) > 1e-9*want {
			t.Errorf("%d tasks, %+v: %g, permuted %g", len(tasks), o, want, got)
		}
	}
}

// Law: the tasks as given are entered where that is best, and no order is longer.
func TestStarts(t *testing.T) {
	rng := rand.New(rand.NewSource(4))
	for range 100 {
		tasks := strokes(rng, 1+rng.Intn(6), 4, false)
		o := anyOptions(rng)
		visits, err := Starts(context.Background(), tasks, o)
		if err != nil {
			t.Fatal(err)
		}
		visitsAll(t, tasks, visits)
		for i, v := range visits {
			if v.Task != i {
				t.Fatalf("task %d is done as number %d", v.Task, i)
			}
		}
		got, want := Length(tasks, visits, o), best(tasks, o, true)
		if math.Abs(got-want) > 1e-6 {
			t.Errorf("%+v: %g, best starts have %g", o, got, want)
		}
		if _, l := order(t, tasks, o); l > got {
			t.Errorf("%+v: %g as given, %g in order", o, got, l)
		}
	}
}

// Law: points that coincide, lie on one line or on a grid are as good as any.
func TestDegenerate(t *testing.T) {
	at := func(x, y float64) Task { return Task{Points: []geom.Point{geom.Pt(x, y)}} }
	var same, line, grid []Task
	for i := range 300 {
		same = append(same, at(3, 4))
		line = append(line, at(float64(i*7%300), 0))
		if i < 144 {
			grid = append(grid, at(float64(i%12), float64(i/12)))
		}
	}
	for name, c := range map[string]struct {
		tasks []Task
		want  float64
	}{"same": {same, 5}, "line": {line, 299}, "grid": {grid, 143}} {
		if _, got := order(t, c.tasks, Options{HasFrom: true}); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %g, want %g", name, got, c.want)
		}
	}
	if visits, l := order(t, nil, Options{}); len(visits) != 0 || l != 0 {
		t.Errorf("nothing to do: %v, %g", visits, l)
	}
}

func TestInvalid(t *testing.T) {
	p := geom.Pt(1, 1)
	for name, tasks := range map[string][]Task{
		"no points":  {{Closed: true}},
		"three ends": {{Points: []geom.Point{p, p, p}}},
		"not finite": {{Points: []geom.Point{p}}, {Points: []geom.Point{geom.Pt(math.NaN(), 0)}}},
	} {
		if _, _, err := Order(context.Background(), tasks, Options{}); err == nil {
			t.Errorf("%s: no error", name)
		}
	}
	if _, _, err := Order(context.Background(), nil, Options{HasFrom: true, From: geom.Pt(math.Inf(1), 0)}); err == nil {
		t.Error("a way from nowhere: no error")
	}
}

func TestCancel(t *testing.T) {
	tasks := strokes(rand.New(rand.NewSource(5)), 200, 6, true)
	looks := canceltest.Stops(t, func(ctx context.Context) error {
		_, _, err := Order(ctx, tasks, Options{HasFrom: true})
		return err
	})
	if looks < 20 {
		t.Errorf("%d looks at the context", looks)
	}
}

func BenchmarkOrder(b *testing.B) {
	for _, n := range []int{15, 100, 500, 2000} {
		rng := rand.New(rand.NewSource(int64(n)))
		for _, c := range []struct {
			name  string
			tasks []Task
		}{{"places", places(rng, n, 1000)}, {"strokes", strokes(rng, n, 8, false)}, {"clusters", strokes(rng, n, 8, true)}} {
			b.Run(fmt.Sprintf("%s-%d", c.name, n), func(b *testing.B) {
				for b.Loop() {
					order(b, c.tasks, Options{HasFrom: true})
				}
			})
		}
	}
}

func BenchmarkCancelGap(b *testing.B) {
	tasks := strokes(rand.New(rand.NewSource(6)), 20000, 8, true)
	for b.Loop() {
		canceltest.ReportGap(b, func(ctx context.Context) error {
			_, _, err := Order(ctx, tasks, Options{HasFrom: true})
			return err
		})
	}
}
