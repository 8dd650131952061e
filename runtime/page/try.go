package page

import (
	"context"
	"errors"
	"net/http"
	"regexp"
	"sync"
	"time"
)

// Bounds of tries, each of which is a run: how many there are at once, and how many pages
// may wait for theirs.
const (
	runningTries = 2
	tryingPages  = mostPages
)

// grace is how long a try goes on when a newer one of the same page waits. Tries that are
// quicker than that are shown one after another while a number is dragged; of slower ones only
// the newest counts.
const grace = 300 * time.Millisecond

// errNewer ends a try in whose place there is a newer one.
var errNewer = errors.New("there is a newer try")

// errBusy refuses a try when too many pages wait for theirs.
var errBusy = errors.New("too many pages try something")

// errUnwatched refuses a try of a script that has been removed while it waited.
var errUnwatched = errors.New("the script is not watched any more")

// tries lets one try of each client run and one wait, the newest.
type tries struct {
	mu      sync.Mutex
	clients map[string]*client
	free    chan struct{} // holds one for each try that runs
}

type client struct{ running, waiting *attempt }

// attempt is a try of one client.
type attempt struct {
	begun  time.Time
	turn   chan struct{} // closed when it may run
	cancel context.CancelCauseFunc
}

func newTries() *tries {
	return &tries{clients: map[string]*client{}, free: make(chan struct{}, runningTries)}
}

// enter waits for a client's turn. The context that it gives ends with ctx, and with
// errNewer when a newer try takes its place. The turn ends with leave.
func (t *tries) enter(ctx context.Context, name string) (turn context.Context, leave func(), err error) {
	turn, cancel := context.WithCancelCause(ctx)
	a := &attempt{turn: make(chan struct{}), cancel: cancel}
	if !t.queue(name, a) {
		cancel(nil)
		return nil, nil, errBusy
	}
	select {
	case <-a.turn:
		select {
		case t.free <- struct{}{}:
			return turn, func() { <-t.free; t.leave(name, a) }, nil
		case <-turn.Done():
		}
	case <-turn.Done():
	}
	defer t.leave(name, a)
	return nil, nil, context.Cause(turn)
}

// queue puts an attempt in its client's place to run, or to wait. It reports false if
// there are too many clients.
func (t *tries) queue(name string, a *attempt) bool {
	t.mu.Lock()
	defer t.mu.Unlock()
	c := t.clients[name]
	if c == nil {
		if len(t.clients) >= tryingPages {
			return false
		}
		c = &client{}
		t.clients[name] = c
	}
	if c.running == nil {
		c.run(a)
		return true
	}
	if c.waiting != nil {
		c.waiting.cancel(errNewer)
	}
	c.waiting = a
	older := c.running
	time.AfterFunc(grace-time.Since(older.begun), func() {
		t.mu.Lock()
		defer t.mu.Unlock()
		if c.running == older && c.waiting != nil {
			older.cancel(errNewer)
		}
	})
	return true
}

// run gives an attempt its turn.
func (c *client) run(a *attempt) {
	c.running, a.begun = a, time.Now()
	close(a.turn)
}

// leave takes an attempt out, wherever it is, and lets the next run.
func (t *tries) leave(name string, a *attempt) {
	a.cancel(nil)
	t.mu.Lock()
	defer t.mu.Unlock()
	c := t.clients[name]
	if c == nil {
		return
	}
	if c.waiting == a {
		c.waiting = nil
	}
	if c.running == a {
		c.running = nil
		if next := c.waiting; next != nil {
			c.waiting = nil
			c.run(next)
		}
	}
	if c.running == nil {
		delete(t.clients, name)
	}
}

// clientName is what a page may call itself.
var clientName = sync.OnceValue(func() *regexp.Regexp { return regexp.MustCompile(`^[0-9A-Za-z_-]{1,64}$`) })

// outcome is what a page is told of its try.
type outcome struct {
	Digest string `json:"digest"`
	Exit   int    `json:"exit"`
	Fault  string `json:"fault"`
	Took   int64  `json:"took"` // ms
}

// try runs a script with other values. Without any it tells how the script's own run
// ended.
func (s *Server) try(w http.ResponseWriter, r *http.Request, status Status) {
	var asked struct {
		Client string            `json:"client"`
		Params map[string]string `json:"params"`
	}
	if !readBody(w, r, &asked) {
		return
	}
	if !clientName().MatchString(asked.Client) {
		fail(w, http.StatusBadRequest, "a try names its client")
		return
	}
	o, err := s.outcome(r.Context(), status.ID, asked.Client, asked.Params)
	switch {
	case err == nil:
		answerJSON(w, o)
	case errors.Is(err, errNewer):
		fail(w, http.StatusConflict, err.Error())
	case errors.Is(err, errBusy):
		fail(w, http.StatusServiceUnavailable, err.Error())
	case errors.Is(err, errUnwatched):
		fail(w, http.StatusNotFound, err.Error())
	default:
		fail(w, http.StatusInternalServerError, err.Error())
	}
}

// outcome waits for a client's turn, has the source run a script, and keeps the display that
// comes of it.
func (s *Server) outcome(ctx context.Context, script int, client string, params map[string]string) (outcome, error) {
	turn, leave, err := s.tries.enter(ctx, client)
	if err != nil {
		return outcome{}, err
	}
	defer leave()
	status, ok := s.feed.about(script) // others have had their turn meanwhile
	switch {
	case !ok:
		return outcome{}, errUnwatched
	case len(params) == 0:
		return outcome{status.Digest, status.Exit, status.Fault, status.Took}, nil
	}
	stage, end := s.feed.try(script, client)
	defer end()
	run, err := s.source.Try(turn, script, params, stage)
	if err != nil {
		if errors.Is(context.Cause(turn), errNewer) {
			err = errNewer // whatever the source calls it
		}
		return outcome{}, err
	}
	digest := s.feed.keep(script, status.Last, params, run.Display)
	return outcome{digest, run.Exit, shortened(run.Fault), run.Took.Milliseconds()}, nil
}
