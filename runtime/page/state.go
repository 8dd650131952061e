package page

import (
	"encoding/json"
	"maps"
	"slices"
	"time"
)

// State is what a page is told: everything that it cannot fetch by digest.
type State struct {
	Scripts []Status `json:"scripts"`
}

// Status is one script as a page is told of it. Times are in ms.
type Status struct {
	ID      int     `json:"id"`
	Name    string  `json:"name"`
	Path    string  `json:"path"`
	Folder  string  `json:"folder"`
	Editor  bool    `json:"editor"`
	Command string  `json:"command"`
	Digest  string  `json:"digest"` // of the last run's display, "" if it had none
	Last    string  `json:"last"`   // of the last display that a run had
	Exit    int     `json:"exit"`
	Fault   string  `json:"fault"`
	Gone    bool    `json:"gone"`
	Files   []File  `json:"files"`
	Stage   string  `json:"stage"` // of the run under way, "" without one or while it is young
	Since   int64   `json:"since"` // how long that has run
	Took    int64   `json:"took"`
	Serial  int     `json:"serial"` // grows with every change
	Trials  []Trial `json:"trials"` // tries under way that take long
}

// Trial is a try under way.
type Trial struct {
	Client string `json:"client"`
	Stage  string `json:"stage"`
	Since  int64  `json:"since"`
}

// task is a run or a try under way. Pages are told of it when it has lasted for a while.
type task struct {
	begun time.Time
	stage string
	told  bool
	timer *time.Timer
}

// begin makes a task of a script. The lock is held.
func (f *feed) begin(s *script) *task {
	t := &task{begun: time.Now()}
	t.timer = time.AfterFunc(patience, func() {
		f.mu.Lock()
		defer f.mu.Unlock()
		if t.timer != nil && !s.removed {
			t.told = true
			f.changed(s)
		}
	})
	return t
}

// end has a task not be told of from now on. The lock is held.
func (t *task) end() {
	if t != nil && t.timer != nil {
		t.timer.Stop()
		t.timer = nil // its function may be waiting for the lock
	}
}

// reach notes a task's stage. The lock is held.
func (f *feed) reach(s *script, t *task, stage string) {
	if t.stage != stage {
		t.stage = stage
		if t.told {
			f.changed(s)
		}
	}
}

// seen gives a task's stage and how long it has lasted, in ms, if pages are told of it.
func (t *task) seen() (stage string, since int64) {
	if t == nil || !t.told {
		return "", 0
	}
	return t.stage, time.Since(t.begun).Milliseconds()
}

// work begins a script's run or takes it to its next stage.
func (f *feed) work(id int, stage string) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if s := f.scripts[id]; s != nil {
		if s.task == nil {
			s.task = f.begin(s)
		}
		f.reach(s, s.task, stage)
	}
}

// try begins a client's try. It gives what is to be told the try's stages, and what ends it.
func (f *feed) try(id int, client string) (stage func(string), end func()) {
	f.mu.Lock()
	defer f.mu.Unlock()
	s := f.scripts[id]
	if s == nil {
		return func(string) {}, func() {}
	}
	t := f.begin(s)
	s.trials[client] = t
	stage = func(stage string) {
		f.mu.Lock()
		defer f.mu.Unlock()
		f.reach(s, t, stage)
	}
	end = func() {
		f.mu.Lock()
		defer f.mu.Unlock()
		t.end()
		if s.trials[client] == t {
			delete(s.trials, client)
		}
		if t.told && !s.removed {
			f.changed(s)
		}
	}
	return stage, end
}

// state gives the latest state as JSON, on one line.
func (f *feed) state() ([]byte, error) {
	return json.Marshal(f.snapshot())
}

func (f *feed) snapshot() State {
	f.mu.Lock()
	defer f.mu.Unlock()
	out := State{Scripts: []Status{}}
	for _, id := range f.ids() {
		out.Scripts = append(out.Scripts, f.scripts[id].status(id))
	}
	return out
}

// status describes a script for pages. The lock is held.
func (s *script) status(id int) Status {
	st := Status{
		ID: id, Name: s.about.Name, Path: s.about.Path, Folder: s.about.Folder,
		Editor: s.about.Editor, Command: s.about.Command,
		Digest: s.digest, Last: s.last, Exit: s.run.Exit, Fault: s.run.Fault, Gone: s.run.Gone,
		Files: s.run.Files, Took: s.run.Took.Milliseconds(), Serial: s.serial, Trials: []Trial{},
	}
	if st.Files == nil {
		st.Files = []File{}
	}
	st.Stage, st.Since = s.task.seen()
	for _, client := range slices.Sorted(maps.Keys(s.trials)) {
		if t := s.trials[client]; t.told {
			stage, since := t.seen()
			st.Trials = append(st.Trials, Trial{client, stage, since})
		}
	}
	return st
}
