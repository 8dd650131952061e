package tour

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"slices"

	"github.com/creasewright/creasewright/runtime/geom"
)

// Task is one thing to be done on the way. An open one has two Points and is
// entered at one of them and left at the other; a closed one is entered and left
// at the same one of its Points, whichever serves best. A task with a single
// point is a place, open or closed.
type Task struct {
	Points []geom.Point
	Closed bool
}

// Visit says that a task is done next, and that it is entered at Points[Start].
type Visit struct{ Task, Start int }

// Options say where a way begins and ends. Without From it begins at the task
// that suits best; without Return it ends at one. With Return it leads back to
// From, or to the first task's entry.
type Options struct {
	From    geom.Point
	HasFrom bool
	Return  bool
}

// Exit is the point where a task is left that is entered at Points[start].
func (t Task) Exit(start int) geom.Point {
	if t.open() {
		return t.Points[1-start]
	}
	return t.Points[start]
}

func (t Task) open() bool { return !t.Closed && len(t.Points) == 2 }

// Order is a short way that does every task once, and its length between tasks in
// the unit of the points. It is never longer than the tasks as they are given,
// each entered where that sequence has it best. The same tasks in another sequence
// give a way of the same length, up to rounding. The error is the context's
// cause, or tells which task has no, or too many, or infinite points.
func Order(ctx context.Context, tasks []Task, o Options) ([]Visit, float64, error) {
	for i, t := range tasks {
		if err := t.validate(); err != nil {
			return nil, 0, fmt.Errorf("task %d: %w", i, err)
		}
	}
	if o.HasFrom && !o.From.Finite() {
		return nil, 0, errors.New("the way does not begin at a place")
	}
	if len(tasks) == 0 {
		return nil, 0, nil
	}
	rank := ranked(tasks)
	if ctx.Err() != nil {
		return nil, 0, context.Cause(ctx)
	}
	sorted := make([]Task, len(tasks))
	for i, r := range rank {
		sorted[i] = tasks[r]
	}
	visits, err := solve(ctx, sorted, o)
	if err != nil {
		return nil, 0, err
	}
	for i := range visits {
		visits[i].Task = rank[visits[i].Task]
	}
	given, err := Starts(ctx, tasks, o)
	if err != nil {
		return nil, 0, err
	}
	length := Length(tasks, visits, o)
	if l := Length(tasks, given, o); l < length {
		return given, l, nil
	}
	return visits, length, nil
}

// Starts is the tasks in the sequence in which they are given, each entered where
// the way as a whole is shortest.
func Starts(ctx context.Context, tasks []Task, o Options) ([]Visit, error) {
	p := newPlan(tasks, o)
	r := newRoute(p)
	if err := r.choose(ctx); err != nil {
		return nil, err
	}
	return r.visits(), nil
}

// Length is how long the way between the tasks is.
func Length(tasks []Task, visits []Visit, o Options) float64 {
	if len(visits) == 0 {
		return 0
	}
	enter := func(v Visit) geom.Point { return tasks[v.Task].Points[v.Start] }
	first, last := visits[0], visits[len(visits)-1]
	var sum float64
	if o.HasFrom {
		sum = o.From.Dist(enter(first))
	}
	for i, v := range visits[1:] {
		sum += tasks[visits[i].Task].Exit(visits[i].Start).Dist(enter(v))
	}
	if o.Return {
		home := enter(first)
		if o.HasFrom {
			home = o.From
		}
		sum += tasks[last.Task].Exit(last.Start).Dist(home)
	}
	return sum
}

func (t Task) validate() error {
	switch {
	case len(t.Points) == 0:
		return errors.New("no points")
	case !t.Closed && len(t.Points) > 2:
		return fmt.Errorf("%d ends", len(t.Points))
	}
	for _, p := range t.Points {
		if !p.Finite() {
			return errors.New("a point that is not finite")
		}
	}
	return nil
}

// ranked is the tasks' numbers sorted by where they lie, so that what is found
// does not depend on the sequence in which they are given.
func ranked(tasks []Task) []int {
	rank := make([]int, len(tasks))
	for i := range rank {
		rank[i] = i
	}
	slices.SortStableFunc(rank, func(i, j int) int {
		return slices.CompareFunc(tasks[i].Points, tasks[j].Points, comparePoints)
	})
	return rank
}

func comparePoints(a, b geom.Point) int {
	return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y))
}
