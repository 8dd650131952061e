package page

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"net/http"
	"strconv"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"testing/synctest"
	"time"
)

// tryBody is what a page sends to try a length.
func tryBody(client string, length int) string {
	return fmt.Sprintf(`{"client":%q,"params":{"length":"%d"}}`, client, length)
}

// lengthSource is a source whose displays are made of the length that is tried.
func lengthSource(calls *atomic.Int32) *source {
	return &source{try: func(_ context.Context, _ int, params map[string]string, _ func(string)) (Run, error) {
		calls.Add(1)
		n, err := strconv.Atoi(params["length"])
		return Run{Display: display(n), Took: 20 * time.Millisecond}, err
	}}
}

// Law: of many tries of one page at once, each is answered with its own outcome or that a
// newer one came, and the source runs no more than have an outcome.
func TestEachTryIsAnswered(t *testing.T) {
	var calls, won, lost atomic.Int32
	s := serve(t, lengthSource(&calls))
	s.Show(s.Add(Script{}), Run{Display: display(-1)})
	var all sync.WaitGroup
	const n = 100
	for i := range n {
		all.Go(func() { tryLength(t, s, i, &won, &lost) })
	}
	all.Wait()
	if won.Load()+lost.Load() != n || won.Load() < 1 || calls.Load() != won.Load() {
		t.Errorf("%d won, %d lost, %d calls", won.Load(), lost.Load(), calls.Load())
	}
}

// tryLength sends a try and counts whether it has had an outcome, which must be its own.
func tryLength(t *testing.T, s *Server, length int, won, lost *atomic.Int32) {
	res, body, err := send(t.Context(), s, http.MethodPost, s.URL()+"try/0", tryBody("page", length))
	switch {
	case err != nil:
		t.Error(err)
	case res.StatusCode == http.StatusConflict:
		lost.Add(1)
	case res.StatusCode == http.StatusOK && strings.Contains(body, digestOf(display(length))):
		won.Add(1)
	default:
		t.Errorf("%d: %s, %s", length, res.Status, body)
	}
}

// While one try runs, a hundred come: the source is asked for the last alone, and its outcome
// can be fetched.
func TestTheNewestTryWins(t *testing.T) {
	var calls, won, lost atomic.Int32
	begun, finish := make(chan struct{}, 2), make(chan struct{})
	inner := lengthSource(&calls)
	s := serve(t, &source{try: func(ctx context.Context, script int, params map[string]string, stage func(string)) (Run, error) {
		begun <- struct{}{}
		<-finish
		return inner.Try(ctx, script, params, stage)
	}})
	s.Show(s.Add(Script{}), Run{Display: display(-1)})
	var all sync.WaitGroup
	all.Go(func() { tryLength(t, s, 0, &won, &lost) })
	<-begun
	const n = 100
	for i := range n - 1 {
		all.Go(func() { tryLength(t, s, i+1, &won, &lost) })
	}
	waitFor(func() bool { return lost.Load() == n-2 }) // one waits
	last := make(chan string)
	go func() {
		_, body, err := send(t.Context(), s, http.MethodPost, s.URL()+"try/0", tryBody("page", n))
		if err != nil {
			t.Error(err)
		}
		last <- body
	}()
	waitFor(func() bool { return lost.Load() == n-1 }) // and the last in its place
	close(finish)
	var got outcome
	if body := <-last; json.Unmarshal([]byte(body), &got) != nil || got.Digest != digestOf(display(n)) || got.Took != 20 {
		t.Errorf("the last: %s", body)
	}
	all.Wait()
	if won.Load() != 1 || calls.Load() != 2 {
		t.Errorf("%d won beside the last, %d calls", won.Load(), calls.Load())
	}
	if _, body := ask(t, s, "GET", "data/"+got.Digest, ""); body != string(display(n)) {
		t.Errorf("data is %s", body)
	}
}

// waitFor looks until something has come to be. What never does is ended by the test's own
// deadline.
func waitFor(done func() bool) {
	for !done() {
		time.Sleep(time.Millisecond)
	}
}

// entrant is a try as the queue sees it.
type entrant struct {
	turn  context.Context
	leave func()
	err   error
	done  bool
}

// arrive has a try enter the queue, in a bubble of synctest.
func arrive(ctx context.Context, q *tries, client string) *entrant {
	e := &entrant{}
	go func() {
		e.turn, e.leave, e.err = q.enter(ctx, client)
		e.done = true
	}()
	synctest.Wait()
	return e
}

// One try of a client runs and one waits, the newest; the one that runs is given a while to
// come to its end, so that a dragged number shows what is quick and never hangs on what
// is slow.
func TestOneTryRunsAndOneWaits(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		q := newTries()
		first := arrive(t.Context(), q, "a")
		if !first.done || first.err != nil {
			t.Fatal("the first try does not run")
		}
		second := arrive(t.Context(), q, "a")
		third := arrive(t.Context(), q, "a")
		if !second.done || !errors.Is(second.err, errNewer) || third.done {
			t.Errorf("second: %v, third has run: %v", second.err, third.done)
		}
		if first.turn.Err() != nil {
			t.Error("the first has no time to end")
		}
		first.leave()
		synctest.Wait()
		if !third.done || third.err != nil {
			t.Error("the third does not run after the first")
		}

		// The third is slow: a fourth has it ended, but not before it has had its time.
		time.Sleep(grace / 2)
		fourth := arrive(t.Context(), q, "a")
		time.Sleep(grace/2 - time.Millisecond)
		if third.turn.Err() != nil {
			t.Error("ended too early")
		}
		time.Sleep(2 * time.Millisecond)
		if !errors.Is(context.Cause(third.turn), errNewer) || fourth.done {
			t.Error("a slow try goes on")
		}
		third.leave()
		synctest.Wait()
		if !fourth.done || fourth.err != nil {
			t.Error("the fourth does not run")
		}
		time.Sleep(grace) // nothing waits: it may take its time
		if fourth.turn.Err() != nil {
			t.Error("ended though nothing waits")
		}
		fifth := arrive(t.Context(), q, "a")
		time.Sleep(time.Millisecond)
		if !errors.Is(context.Cause(fourth.turn), errNewer) {
			t.Error("a try that has had its time goes on")
		}
		fourth.leave()
		synctest.Wait()

		// Who goes while it waits is not run.
		going, gone := context.WithCancel(t.Context())
		sixth := arrive(going, q, "a")
		gone()
		synctest.Wait()
		if !errors.Is(sixth.err, context.Canceled) || q.clients["a"].waiting != nil {
			t.Error("it still waits: ", sixth.err)
		}
		fifth.leave()
		if len(q.clients) != 0 || len(q.free) != 0 {
			t.Errorf("%d clients and %d runs are left", len(q.clients), len(q.free))
		}
	})
}

// Clients do not end one another's tries, but share what may run at once; who goes leaves no trace.
func TestClientsTryApart(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		q := newTries()
		var ran []*entrant
		for i := range runningTries {
			ran = append(ran, arrive(t.Context(), q, fmt.Sprint(i)))
		}
		going, gone := context.WithCancel(t.Context())
		waits := arrive(going, q, "x")
		behind := arrive(going, q, "x")
		next := arrive(t.Context(), q, "y")
		for _, e := range ran {
			if e.err != nil || !e.done || e.turn.Err() != nil {
				t.Errorf("%+v", e)
			}
		}
		if waits.done || behind.done || next.done {
			t.Error("more run than may")
		}
		gone()
		synctest.Wait()
		if !errors.Is(waits.err, context.Canceled) || !errors.Is(behind.err, context.Canceled) {
			t.Error(waits.err, behind.err)
		}
		ran[0].leave()
		synctest.Wait()
		if !next.done || next.err != nil {
			t.Error("the next does not run")
		}
		next.leave()
		ran[1].leave()
		if len(q.clients) != 0 || len(q.free) != 0 {
			t.Errorf("%d clients and %d runs are left", len(q.clients), len(q.free))
		}

		for i := range tryingPages {
			arrive(going, q, fmt.Sprint("many", i))
		}
		// Their contexts have ended: they leave at once. Those of others count.
		for i := range tryingPages {
			arrive(t.Context(), q, fmt.Sprint("more", i))
		}
		if e := arrive(t.Context(), q, "one too many"); !errors.Is(e.err, errBusy) {
			t.Errorf("%+v", e)
		}
	})
}

// Without values a page is back at the script's own run, for which nothing is run.
func TestNoValuesAreTheScriptsOwn(t *testing.T) {
	s := serve(t, &source{})
	id := s.Add(Script{})
	s.Show(id, Run{Display: display(1), Exit: 1, Took: 7 * time.Millisecond})
	want := fmt.Sprintf(`{"digest":"%s","exit":1,"fault":"","took":7}`, digestOf(display(1)))
	for _, body := range []string{`{"client":"c","params":{}}`, `{"client":"c"}`, `{"client":"c","params":null}`} {
		if _, got := ask(t, s, "POST", "try/0", body); got != want {
			t.Errorf("%s: %s", body, got)
		}
	}
	for _, body := range []string{`{"params":{}}`, `{"client":"","params":{}}`, `{"client":"a b"}`, `{"client":"` + strings.Repeat("c", 65) + `"}`, `{"client":"c","params":{"length":95}}`} {
		if res, _ := ask(t, s, "POST", "try/0", body); res.StatusCode != http.StatusBadRequest {
			t.Errorf("%s: %s", body, res.Status)
		}
	}
}

// A script that breaks with the values says so; what goes wrong with the run itself is another
// thing.
func TestFaultsOfTriesAreSaid(t *testing.T) {
	src := &source{}
	s := serve(t, src)
	s.Show(s.Add(Script{}), Run{Display: display(1)})
	src.try = func(context.Context, int, map[string]string, func(string)) (Run, error) {
		return Run{Exit: 2, Fault: "too long"}, nil
	}
	if res, body := ask(t, s, "POST", "try/0", tryBody("c", 1)); res.StatusCode != 200 || body != `{"digest":"","exit":2,"fault":"too long","took":0}` {
		t.Errorf("%s: %s", res.Status, body)
	}
	src.try = func(context.Context, int, map[string]string, func(string)) (Run, error) {
		return Run{}, errors.New("no process")
	}
	if res, body := ask(t, s, "POST", "try/0", tryBody("c", 1)); res.StatusCode != 500 || body != "no process\n" {
		t.Errorf("%s: %s", res.Status, body)
	}
}

// A page that goes takes its try with it, and so does the server's end.
func TestTriesNobodyWaitsForAreEnded(t *testing.T) {
	begun, ended := make(chan struct{}), make(chan error, 1)
	src := &source{try: func(ctx context.Context, _ int, _ map[string]string, _ func(string)) (Run, error) {
		begun <- struct{}{}
		<-ctx.Done()
		ended <- ctx.Err()
		return Run{}, ctx.Err()
	}}
	s := serve(t, src)
	s.Add(Script{})
	ctx, leave := context.WithCancel(t.Context())
	go send(ctx, s, http.MethodPost, s.URL()+"try/0", tryBody("c", 1))
	<-begun
	leave()
	<-ended
	go send(t.Context(), s, http.MethodPost, s.URL()+"try/0", tryBody("c", 2))
	<-begun
	s.Close()
	<-ended
}

// A try that waited while its script was removed, or ended for a newer one, is answered so, whatever
// the source makes of it.
func TestTriesThatHaveLostTheirPurpose(t *testing.T) {
	begun, finish := make(chan struct{}, 1), make(chan struct{})
	src := &source{try: func(ctx context.Context, script int, _ map[string]string, _ func(string)) (Run, error) {
		if script != 1 {
			t.Errorf("script %d is tried", script)
		}
		begun <- struct{}{}
		<-ctx.Done()
		<-finish
		return Run{}, errors.New("stopped")
	}}
	s := serve(t, src)
	s.Add(Script{})
	id := s.Add(Script{})
	first, second := make(chan int), make(chan int)
	post := func(length int, status chan int) {
		res, _, err := send(t.Context(), s, http.MethodPost, s.URL()+"try/1", tryBody("page", length))
		if err != nil {
			t.Error(err)
			status <- 0
			return
		}
		status <- res.StatusCode
	}
	go post(1, first)
	<-begun
	go post(2, second)
	waitFor(func() bool {
		s.tries.mu.Lock()
		defer s.tries.mu.Unlock()
		return s.tries.clients["page"].waiting != nil
	})
	s.Remove(id)
	close(finish)
	if a, b := <-first, <-second; a != http.StatusConflict || b != http.StatusNotFound {
		t.Errorf("answered %d and %d", a, b)
	}
}
