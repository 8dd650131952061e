package page

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"net/http"
	"slices"
	"strings"
	"sync"
	"testing"
	"testing/synctest"
)

// stateSource gives made-up states, which tell what they were asked for.
func stateSource(_ context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
	file := motionFile{Format: motionFormat, Version: motionVersion, Piece: piece, Pose: pose}
	for _, share := range shares {
		file.States = append(file.States, fmt.Appendf(nil, `{"at":%v,"from":"%d %s %d %s"}`, share, script, params["length"], piece, pose))
	}
	return json.Marshal(file)
}

// motionPath is the path of some states.
func motionPath(digest string, pose string, shares ...float64) string {
	var at []string
	for _, share := range shares {
		at = append(at, fmt.Sprint(share))
	}
	return "motion/0?digest=" + digest + "&piece=1&pose=" + pose + "&at=" + strings.Join(at, ",")
}

// states reads an answer and gives the shares in it.
func states(t testing.TB, body string) (at []float64) {
	t.Helper()
	var file motionFile
	if err := json.Unmarshal([]byte(body), &file); err != nil || file.Format != motionFormat || file.Version != motionVersion || file.Piece != 1 {
		t.Fatalf("%v: %s", err, body)
	}
	for _, text := range file.States {
		var state struct{ At float64 }
		if err := json.Unmarshal(text, &state); err != nil {
			t.Fatal(err)
		}
		at = append(at, state.At)
	}
	return at
}

// Law: whatever many pages ask for at the same time, in whatever batches and order, each gets
// the states that it asked for, in its order, and the source is asked for each state once.
func TestEachStateIsComputedOnce(t *testing.T) {
	var mu sync.Mutex
	asked := map[float64]int{}
	s := serve(t, &source{motion: func(ctx context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
		mu.Lock()
		for _, share := range shares {
			asked[share]++
		}
		mu.Unlock()
		return stateSource(ctx, script, params, piece, pose, shares)
	}})
	s.Show(s.Add(Script{}), Run{Display: display(1)})
	digest := digestOf(display(1))
	var pages sync.WaitGroup
	for page := range 20 {
		r := rand.New(rand.NewPCG(1, uint64(page)))
		pages.Go(func() {
			stops := r.Perm(49)
			for batch := range slices.Chunk(stops, 1+r.IntN(20)) {
				var shares []float64
				for _, k := range batch {
					shares = append(shares, float64(k)/48)
				}
				shares = append(shares, shares[0]) // twice in one request
				res, body, err := send(t.Context(), s, http.MethodGet, s.URL()+motionPath(digest, "closed", shares...), "")
				if err != nil || res.StatusCode != http.StatusOK {
					t.Errorf("%v: %s", err, body)
					return
				}
				if got := states(t, body); !slices.Equal(got, shares) {
					t.Errorf("asked for %v, got %v", shares, got)
				}
			}
		})
	}
	pages.Wait()
	if len(asked) != 49 {
		t.Errorf("asked for %d states", len(asked))
	}
	for share, n := range asked {
		if n != 1 {
			t.Errorf("share %v was asked for %d times", share, n)
		}
	}
}

// States belong to the display that a page names: to the script's own, without
// parameters, or to what was tried, with its own; to none that is no longer the
// script's.
func TestStatesBelongToADisplay(t *testing.T) {
	src := &source{motion: stateSource, try: func(context.Context, int, map[string]string, func(string)) (Run, error) {
		return Run{Display: display(2)}, nil
	}}
	s := serve(t, src)
	id := s.Add(Script{})
	s.Show(id, Run{Display: display(1)})
	if res, body := ask(t, s, "GET", motionPath(digestOf(display(1)), "closed", 0.5), ""); !strings.Contains(body, `"0  1 closed"`) {
		t.Errorf("%s: %s", res.Status, body)
	}
	tried := digestOf(display(2))
	if res, _ := ask(t, s, "GET", motionPath(tried, "closed", 0.5), ""); res.StatusCode != 404 {
		t.Error("a display that is not known yet: ", res.Status)
	}
	ask(t, s, "POST", "try/0", `{"client":"c","params":{"length":"95"}}`)
	if res, body := ask(t, s, "GET", motionPath(tried, "half open", 0.5)[:len("motion/0?digest=")+64]+"&piece=1&pose=half+open&at=0.5", ""); !strings.Contains(body, `"0 95 1 half open"`) {
		t.Errorf("%s: %s", res.Status, body)
	}
	s.Show(id, Run{Exit: 2}) // broken: the last good display can still be folded
	if res, _ := ask(t, s, "GET", motionPath(digestOf(display(1)), "closed", 0.75), ""); res.StatusCode != 200 {
		t.Error(res.Status)
	}
	s.Show(id, Run{Display: display(3)})
	for _, digest := range []string{digestOf(display(1)), tried, "", "x"} {
		if res, _ := ask(t, s, "GET", motionPath(digest, "closed", 0.25), ""); res.StatusCode != 404 {
			t.Errorf("%q: %s", digest, res.Status)
		}
	}
}

// States that are computed while the script changes are of nobody knows which design: they are
// not given, and not kept.
func TestStatesOfAChangedScriptAreDropped(t *testing.T) {
	calls := 0
	src := &source{}
	s := serve(t, src)
	id := s.Add(Script{})
	src.motion = func(ctx context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error) {
		if calls++; calls == 1 {
			s.Show(id, Run{Display: display(2)})
		}
		return stateSource(ctx, script, params, piece, pose, shares)
	}
	s.Show(id, Run{Display: display(1)})
	if res, _ := ask(t, s, "GET", motionPath(digestOf(display(1)), "closed", 0.5), ""); res.StatusCode != 404 {
		t.Error(res.Status)
	}
	s.Show(id, Run{Display: display(1)})
	if res, _ := ask(t, s, "GET", motionPath(digestOf(display(1)), "closed", 0.5), ""); res.StatusCode != 200 || calls != 2 {
		t.Errorf("%s after %d calls", res.Status, calls)
	}
}

// What a source says is passed on and not kept; answers that make no sense are faults.
func TestFaultsOfStatesAreSaid(t *testing.T) {
	src := &source{}
	s := serve(t, src)
	s.Show(s.Add(Script{}), Run{Display: display(1)})
	path := motionPath(digestOf(display(1)), "closed", 0.5, 1)
	for _, c := range []struct {
		text string
		err  error
		want string
	}{
		{"", errors.New("no way is found"), "no way is found"},
		{"{", nil, "cannot be read"},
		{`{"states":[{}]}`, nil, "2 states were asked for, and 1 given"},
	} {
		src.motion = func(context.Context, int, map[string]string, int, string, []float64) ([]byte, error) {
			return []byte(c.text), c.err
		}
		if res, body := ask(t, s, "GET", path, ""); res.StatusCode != 500 || !strings.Contains(body, c.want) {
			t.Errorf("%s: %q, want %q", res.Status, body, c.want)
		}
	}
	src.motion = stateSource
	if res, _ := ask(t, s, "GET", path, ""); res.StatusCode != 200 {
		t.Error(res.Status)
	}
}

// Questions that make no sense are refused before anyone is asked.
func TestQuestionsForStatesAreChecked(t *testing.T) {
	s := serve(t, &source{})
	s.Show(s.Add(Script{}), Run{Display: display(1)})
	for _, query := range []string{
		"", "piece=0&pose=closed", "piece=0&pose=closed&at=", "piece=0&pose=closed&at=0,", "piece=0&pose=closed&at=2", "piece=0&pose=closed&at=-0.1",
		"piece=0&pose=closed&at=NaN", "piece=0&pose=closed&at=Inf", "piece=-1&pose=closed&at=0", "piece=x&pose=closed&at=0", "piece=0&at=0",
		"piece=0&pose=" + strings.Repeat("x", longestPose+1) + "&at=0", "piece=0&pose=closed&at=0" + strings.Repeat(",0", mostShares),
	} {
		if res, body := ask(t, s, "GET", "motion/0?digest="+digestOf(display(1))+"&"+query, ""); res.StatusCode != 400 {
			t.Errorf("%.60q: %s, %s", query, res.Status, body)
		}
	}
	if _, shares, err := readMotion(map[string][]string{"piece": {"0"}, "pose": {"closed"}, "at": {"-0,0x1p-1"}}); err != nil || math.Signbit(shares[0]) || shares[1] != 0.5 {
		t.Error(shares, err)
	}
}

// A page that goes takes its question with it, unless another waits for the same.
func TestStatesNobodyWaitsForAreEnded(t *testing.T) {
	begun, ended := make(chan struct{}, 2), make(chan error, 2)
	m := newMotions()
	finish := make(chan struct{})
	ask := func(ctx context.Context, shares []float64) ([]json.RawMessage, error) {
		begun <- struct{}{}
		select {
		case <-finish:
			ended <- nil
			return make([]json.RawMessage, len(shares)), nil
		case <-ctx.Done():
			ended <- ctx.Err()
			return nil, ctx.Err()
		}
	}
	of := fold{"d", 0, "closed"}
	first, leave := context.WithCancel(t.Context())
	go m.get(first, of, []float64{0}, ask)
	<-begun
	leave()
	if err := <-ended; !errors.Is(err, context.Canceled) {
		t.Error("nobody waits: ", err)
	}

	first, leave = context.WithCancel(t.Context())
	go m.get(first, of, []float64{0, 1}, ask)
	<-begun
	second := make(chan error)
	go func() {
		_, err := m.get(t.Context(), of, []float64{1}, ask)
		second <- err
	}()
	waitFor(func() bool { // the second page has joined
		m.mu.Lock()
		defer m.mu.Unlock()
		return m.flights[stateKey{of, 1}].waiting == 2
	})
	leave()
	finish <- struct{}{}
	if err := <-ended; err != nil {
		t.Error("the second page waits: ", err)
	}
	if err := <-second; err != nil {
		t.Error(err)
	}
	waitFor(func() bool { // the first has gone too
		m.mu.Lock()
		defer m.mu.Unlock()
		return len(m.flights) == 0
	})
}

// So many states are computed at once; who goes while it waits, for its turn or for others,
// leaves nothing behind and ends nothing that others wait for.
func TestComputationsAreBounded(t *testing.T) {
	synctest.Test(t, func(t *testing.T) {
		m := newMotions()
		finish := make(chan struct{})
		running := 0
		ask := func(_ context.Context, shares []float64) ([]json.RawMessage, error) {
			running++
			<-finish
			return make([]json.RawMessage, len(shares)), nil
		}
		get := func(ctx context.Context, pose string) (fault *error) {
			fault = new(error)
			go func() { _, *fault = m.get(ctx, fold{"d", 0, pose}, []float64{0.5}, ask) }()
			synctest.Wait()
			return fault
		}
		for i := range runningMotions {
			get(t.Context(), fmt.Sprint(i))
		}
		going, gone := context.WithCancel(t.Context())
		alone, joined := get(going, "more"), get(going, "0")
		if running != runningMotions {
			t.Errorf("%d are computed at once", running)
		}
		gone()
		synctest.Wait()
		if *alone == nil || !errors.Is(*joined, context.Canceled) || len(m.flights) != runningMotions {
			t.Errorf("%v, %v, %d flights", *alone, *joined, len(m.flights))
		}
		last := get(t.Context(), "more")
		close(finish)
		synctest.Wait()
		if *last != nil || running != runningMotions+1 || len(m.flights) != 0 || len(m.states.entries) != runningMotions+1 {
			t.Errorf("%v, %d computed, %d kept", *last, running, len(m.states.entries))
		}
	})
}

// A computation that panics does not leave others waiting.
func TestPanicsDoNotHangOthers(t *testing.T) {
	m := newMotions()
	func() {
		defer func() { _ = recover() }()
		m.get(t.Context(), fold{}, []float64{0}, func(context.Context, []float64) ([]json.RawMessage, error) { panic("at the disco") })
	}()
	got, err := m.get(t.Context(), fold{}, []float64{0}, func(context.Context, []float64) ([]json.RawMessage, error) {
		return []json.RawMessage{json.RawMessage("1")}, nil
	})
	if err != nil || string(got[0]) != "1" || len(m.flights) != 0 || len(m.free) != 0 {
		t.Error(got, err)
	}
}
