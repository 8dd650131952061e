package page

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"maps"
	"math"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"sync"
)

// Bounds of states along folds.
const (
	keptStates, keptBytes = 1024, 64 << 20
	mostShares            = 64 // of one request
	longestPose           = 400
	runningMotions        = 2
)

// The head of motion.json.
const (
	motionFormat  = "creasewright-motion"
	motionVersion = 1
)

// motionFile is motion.json: states along the fold to a pose of a piece. What a state
// holds is between the source and the page, but for the share that it belongs to.
type motionFile struct {
	Format  string            `json:"format"`
	Version int               `json:"version"`
	Piece   int               `json:"piece"`
	Pose    string            `json:"pose"`
	States  []json.RawMessage `json:"states"`
}

// fold is a way along which a piece is folded; stateKey a state on it.
type fold struct {
	digest string // of the display
	piece  int
	pose   string
}

type stateKey struct {
	fold
	share float64
}

// motions keeps states along folds, and has each computed once though several pages ask
// for it at the same time.
type motions struct {
	mu      sync.Mutex
	states  *cache[stateKey, json.RawMessage]
	flights map[stateKey]*flight
	free    chan struct{} // holds one for each that is being computed
}

// flight is a computation of some states. It is ended when nobody waits for it.
type flight struct {
	keys    []stateKey
	waiting int
	ctx     context.Context
	cancel  context.CancelFunc
	done    chan struct{}
	states  map[stateKey]json.RawMessage // from here on: read after done
	err     error
}

func newMotions() *motions {
	return &motions{
		states:  newCache[stateKey, json.RawMessage](keptStates, keptBytes),
		flights: map[stateKey]*flight{},
		free:    make(chan struct{}, runningMotions),
	}
}

// asker computes states of a fold at some shares, in their order.
type asker func(ctx context.Context, shares []float64) ([]json.RawMessage, error)

// get gives the states of a fold at some shares. What is neither kept nor under way is asked
// for in one call.
func (m *motions) get(ctx context.Context, of fold, shares []float64, ask asker) ([]json.RawMessage, error) {
	found := map[stateKey]json.RawMessage{}
	joined, own := m.join(ctx, of, shares, found)
	defer func() {
		for _, f := range joined {
			m.leave(f)
		}
	}()
	flights := joined
	if own != nil {
		m.fly(ctx, own, ask)
		flights = append(slices.Clone(joined), own)
	}
	for _, f := range flights {
		select {
		case <-f.done:
		case <-ctx.Done():
			return nil, context.Cause(ctx)
		}
		if f.err != nil {
			return nil, f.err
		}
		maps.Copy(found, f.states)
	}
	out := make([]json.RawMessage, len(shares))
	for i, share := range shares {
		out[i] = found[stateKey{of, share}]
	}
	return out, nil
}

// join looks for states: kept ones go into found, those under way are joined, and for
// the rest there is a flight of one's own. That does not end with the context: others may join
// it and wait for longer.
func (m *motions) join(ctx context.Context, of fold, shares []float64, found map[stateKey]json.RawMessage) (joined []*flight, own *flight) {
	m.mu.Lock()
	defer m.mu.Unlock()
	for _, share := range shares {
		key := stateKey{of, share}
		if state, ok := m.states.get(key); ok {
			found[key] = state
			continue
		}
		f := m.flights[key]
		switch {
		case f == nil:
			if own == nil {
				own = &flight{waiting: 1, done: make(chan struct{}), err: errors.New("the states could not be computed")}
				own.ctx, own.cancel = context.WithCancel(context.WithoutCancel(ctx))
			}
			own.keys = append(own.keys, key)
			m.flights[key] = own
		case f != own && !slices.Contains(joined, f):
			f.waiting++
			joined = append(joined, f)
		}
	}
	return joined, own
}

// fly computes the states of a flight, and is done when they are there, or when nobody
// waits for them.
func (m *motions) fly(ctx context.Context, f *flight, ask asker) {
	stop := context.AfterFunc(ctx, func() { m.leave(f) })
	defer func() { // also when ask panics: others wait
		if stop() {
			m.leave(f)
		}
		close(f.done)
	}()
	select {
	case m.free <- struct{}{}:
		defer func() { <-m.free }()
	case <-f.ctx.Done():
		return
	}
	shares := make([]float64, len(f.keys))
	for i, key := range f.keys {
		shares[i] = key.share
	}
	states, err := ask(f.ctx, shares)
	if err != nil {
		f.err = err
		return
	}
	f.err, f.states = nil, map[stateKey]json.RawMessage{}
	m.mu.Lock()
	defer m.mu.Unlock()
	for i, key := range f.keys {
		f.states[key] = states[i]
		m.states.put(key, states[i], len(states[i]))
	}
}

// leave ends the wait for a flight. When it was the last, nobody joins it any more.
func (m *motions) leave(f *flight) {
	m.mu.Lock()
	defer m.mu.Unlock()
	if f.waiting--; f.waiting > 0 {
		return
	}
	f.cancel()
	for _, key := range f.keys {
		if m.flights[key] == f {
			delete(m.flights, key)
		}
	}
}

// errGone refuses states of a display that is no longer the script's.
var errGone = errors.New("the script has changed")

// motion sends states along the fold to a pose.
func (s *Server) motion(w http.ResponseWriter, r *http.Request, status Status) {
	of, shares, err := readMotion(r.URL.Query())
	if err != nil {
		fail(w, http.StatusBadRequest, err.Error())
		return
	}
	states, err := s.motions.get(r.Context(), of, shares, func(ctx context.Context, shares []float64) ([]json.RawMessage, error) {
		return s.compute(ctx, status.ID, of, shares)
	})
	switch {
	case errors.Is(err, errGone):
		fail(w, http.StatusNotFound, err.Error())
	case err != nil:
		fail(w, http.StatusInternalServerError, err.Error())
	default:
		answerJSON(w, motionFile{motionFormat, motionVersion, of.piece, of.pose, states})
	}
}

// compute asks the source for states. The script's display must be the same before and
// after, lest states of another are taken for its.
func (s *Server) compute(ctx context.Context, script int, of fold, shares []float64) ([]json.RawMessage, error) {
	params, ok := s.feed.design(script, of.digest)
	if !ok {
		return nil, errGone
	}
	text, err := s.source.Motion(ctx, script, params, of.piece, of.pose, shares)
	if _, ok := s.feed.design(script, of.digest); !ok {
		return nil, errGone
	}
	if err != nil {
		return nil, err
	}
	var file motionFile
	if err := json.Unmarshal(text, &file); err != nil {
		return nil, fmt.Errorf("the states cannot be read: %w", err)
	}
	if len(file.States) != len(shares) {
		return nil, fmt.Errorf("%d states were asked for, and %d given", len(shares), len(file.States))
	}
	return file.States, nil
}

// readMotion reads what states are asked for.
func readMotion(q url.Values) (of fold, shares []float64, err error) {
	of = fold{digest: q.Get("digest"), pose: q.Get("pose")}
	if of.piece, err = strconv.Atoi(q.Get("piece")); err != nil || of.piece < 0 {
		return of, nil, errors.New("there is no such piece")
	}
	if of.pose == "" || len(of.pose) > longestPose {
		return of, nil, errors.New("there is no such pose")
	}
	list := strings.SplitN(q.Get("at"), ",", mostShares+1)
	if len(list) > mostShares {
		return of, nil, fmt.Errorf("not more than %d shares are given at once", mostShares)
	}
	for _, text := range list {
		share, err := strconv.ParseFloat(text, 64)
		if err != nil || !(share >= 0 && share <= 1) {
			return of, nil, errors.New("a share is a number from 0 to 1")
		}
		shares = append(shares, math.Abs(share)) // no negative zero
	}
	return of, shares, nil
}
