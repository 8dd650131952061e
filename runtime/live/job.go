// Package live runs a script from disk to disk: once, or again at every save
// of what the script was made from.
package live

import (
	"context"
	"time"

	"github.com/creasewright/creasewright/runtime/build"
	"github.com/creasewright/creasewright/runtime/publish"
	"github.com/creasewright/creasewright/runtime/read"
)

// Job is one script and what is to become of it.
type Job struct {
	Script string            // path of the script
	Dir    string            // output folder
	Shelf  string            // shelf folder, "" for none
	Params map[string]string // values for the script's parameters, as typed
}

// Outcome is one run and what of it reached the disk.
type Outcome struct {
	build.Result
	Written []string      // names of the files whose bytes changed
	Err     error         // the disk failed; the Result is whole all the same
	Took    time.Duration // reading to writing
}

// Once runs the job. The error says that the script's place on disk makes no
// sense; all else is in the Outcome.
func (j Job) Once(ctx context.Context) (Outcome, error) {
	folder, err := read.Beside(j.Script, j.Shelf)
	if err != nil {
		return Outcome{}, err
	}
	out, _ := j.run(ctx, folder)
	return out, nil
}

// run builds and, unless ctx has ended, publishes. The texts are what the run
// saw of the disk.
func (j Job) run(ctx context.Context, folder *read.Folder) (Outcome, texts) {
	start := time.Now()
	seen := texts{}
	out := Outcome{Result: build.Run(ctx, build.Request{
		Script: folder.Script(), Read: seen.recording(folder.Text), Params: j.Params,
		LastPreview: publish.Last(j.Dir, build.PreviewName),
	})}
	if ctx.Err() == nil {
		out.Written, out.Err = publish.Files(j.Dir, out.Files)
	}
	out.Took = time.Since(start)
	return out, seen
}
