package page

import (
	"context"
	"time"
)

// Options say where the page is served and who does the work.
type Options struct {
	Addr   string // a loopback address with port, "127.0.0.1:0" if empty; port 0 is any free one
	Source Source
}

// Source is what the server asks of whoever runs designs. Each call may come from
// several goroutines at once. One that takes a context soon returns when that ends. What
// an error says is shown to the user.
type Source interface {
	// Try runs a script with other values of its parameters, on the texts of the run last shown
	// or newer ones. Nothing is written. The stages that it reaches are told to stage, which
	// never blocks.
	Try(ctx context.Context, script int, params map[string]string, stage func(string)) (Run, error)

	// Motion gives states along the fold to a pose, as motion.json, one for each share
	// in the order asked. Without params the design is that of the last run with a display
	// that was handed to Show; with them, what Try makes of the same values.
	//
	// Whoever calls Show changes what Motion is about just before, not after.
	Motion(ctx context.Context, script int, params map[string]string, piece int, pose string, shares []float64) ([]byte, error)

	// File gives an output file as it stands on disk now. The name is one that the last
	// run shown has listed.
	File(script int, name string) ([]byte, error)

	// Edit starts the user's editor at a line of a file, which is named as in the
	// display's sources, and does not wait for its end. It refuses files that the
	// script has not read.
	Edit(script int, file string, line int) error
}

// Run is what a run of a script has come to. Nothing that it refers to may change after it
// has been handed over.
type Run struct {
	Display []byte // display.json; nil when the script gave no design
	Exit    int
	Fault   string // what the terminal says of it when Exit is 2 or 3
	Files   []File // output files that are in the folder now
	Gone    bool   // cut files of an earlier run have been taken away
	Took    time.Duration
}

// File is an output file of a run.
type File struct {
	Name string `json:"name"` // one element, no path
	Kind string `json:"kind"`
	Size int64  `json:"size"` // bytes
}

// Script is a script that is watched.
type Script struct {
	Name, Path, Folder string
	Editor             bool   // Source.Edit does something
	Command            string // that makes the same files, to be copied; without values of parameters
}

// Add has pages show a script, at once, and gives the number by which it goes from now on.
func (s *Server) Add(sc Script) (script int) { return s.feed.add(sc) }

// Remove has pages forget a script. A number that names none is passed over, here
// and in the methods below.
func (s *Server) Remove(script int) { s.feed.remove(script) }

// Working says that a run has begun or reached a stage: "script", "blank", "folds", "rules"
// or "files". Pages are told when the run has lasted for a while, so that short ones do not
// flicker. It never blocks.
func (s *Server) Working(script int, stage string) { s.feed.work(script, stage) }

// Show says that a run has ended, and how. It never blocks.
func (s *Server) Show(script int, r Run) { s.feed.show(script, r) }
