// Package live runs a script from disk to disk: once, or again at every save
// of what the script was made from.
package live

import (
	"context"
	"errors"
	"path/filepath"
	"time"

	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/internal/publish"
	"github.com/creasewright/creasewright/runtime/internal/read"
	"github.com/creasewright/creasewright/runtime/source"
)

// Job is one script and what is to become of it.
type Job struct {
	Script string // path of the script
	// Text is the script where it stands in no file; what it loads is looked for beside
	// its path all the same. nil for one that does.
	Text []byte
	Dir  string // output folder
	// Derived says that nobody chose Dir: it comes from publish.Beside and must
	// not be a link.
	Derived bool
	Shelf   string            // shelf folder, "" for none
	Params  map[string]string // values for the script's parameters, as typed
	Formats emit.Table        // the files to be made; nil for engine.Formats()
	Also    []emit.Kind       // of those, the ones made only when asked for, that are
	For     []string          // machines of the script that are to have files
	Paper   engine.Paper      // of files that are printed at home
	// Layout, if it is not nil, asks for the pieces on a sheet instead of the files of each.
	Layout *engine.LayoutRequest
	// Build does the work; nil for engine.Run, in this process and without
	// bounds on time and memory.
	Build func(context.Context, engine.Request) (engine.Result, error)
	// Display asks for what a screen shows of the run: see Outcome.Display.
	Display bool
	// Stage, if it is not nil, is told the stages that a run comes to: see
	// engine.Stages. It is called from some goroutine of the run and must not block; no
	// call comes after the run has been told.
	Stage func(stage string)
	// Polling, if there is one, is called by Watch when the system gives no events
	// of the files, so that they are polled at the interval, and why. That may happen again.
	Polling func(interval time.Duration, why error)

	shownDir string        // Dir as the user gave it, once that has been made absolute
	reader   source.Reader // of the texts; nil reads them from disk
	label    string        // of the script where the texts are those of a run; "" where its path tells
}

// absolute is the job with absolute paths: the current folder may be removed
// and made again while a watch goes on.
func (j Job) absolute() (Job, error) {
	j.shownDir = j.Dir
	for _, path := range []*string{&j.Script, &j.Dir, &j.Shelf} {
		if *path == "" {
			continue
		}
		abs, err := filepath.Abs(*path)
		if err != nil {
			return j, err
		}
		*path = abs
	}
	return j, nil
}

// OutputFolder is where a script's files go when nobody chose: the script's path
// without ".star".
func OutputFolder(script string) string { return publish.Beside(script) }

// Check runs the script once for its findings; no file is written, nor made but
// those of Formats, and nil is none here. The error is about a path that makes no sense, or the context's.
func (j Job) Check(ctx context.Context) (engine.Result, error) {
	script, texts, err := j.source()
	if err != nil {
		return engine.Result{}, err
	}
	formats := j.Formats
	if formats == nil {
		formats = emit.Table{}
	}
	return j.run(ctx, engine.Request{Script: script, Read: texts, Params: j.Params, Formats: formats, Stage: j.Stage})
}

// source gives the script's label and what reads the texts.
func (j Job) source() (script string, texts source.Reader, err error) {
	if j.label != "" {
		return j.label, j.reader, nil
	}
	folder, err := read.Beside(j.Script, j.Shelf)
	if err != nil {
		return "", nil, err
	}
	return folder.Script(), j.reading(folder, j.texts(folder)), nil
}

// reading reads as next does, but for a script that stands in no file.
func (j Job) reading(folder *read.Folder, next source.Reader) source.Reader {
	if j.Text == nil {
		return next
	}
	return func(label string) ([]byte, error) {
		if label == folder.Script() {
			return j.Text, nil
		}
		return next(label)
	}
}

// texts reads the texts beside the script.
func (j Job) texts(folder *read.Folder) source.Reader {
	if j.reader != nil {
		return j.reader
	}
	return folder.Text
}

func (j Job) run(ctx context.Context, req engine.Request) (engine.Result, error) {
	if j.Build != nil {
		return j.Build(ctx, req)
	}
	return engine.Run(ctx, req)
}

// Change is what became of the files in the output folder.
type Change = publish.Change

// Outcome is one run and what of it reached the disk.
type Outcome struct {
	engine.Result
	Change
	Err error // the disk failed; the Result is whole all the same

	// Gone says that cut files of the last run without errors, told by the same
	// watch, are no longer in the folder.
	Gone bool

	// Display is what a screen shows of the run, for a Job that asks for it and a
	// script that gives a design; else nil. It stands in no folder. The keys are those
	// of the format emit.KindDisplay.
	Display []byte
	// Frozen is, beside a Display, the job with the texts and values of this run: what
	// it tries or folds belongs to that Display, whatever has become of the script
	// since.
	Frozen *Job

	Built     time.Duration // from reading the script to the files' bytes
	Published time.Duration // from there to the last file in its place
}

// Took is how long the run took from reading to writing.
func (o Outcome) Took() time.Duration { return o.Built + o.Published }

// Once runs the job. The error says that the script's place on disk makes no
// sense, or is the context's, which ended before anything was written; all else
// is in the Outcome.
func (j Job) Once(ctx context.Context) (Outcome, error) {
	folder, err := read.Beside(j.Script, j.Shelf)
	if err != nil {
		return Outcome{}, err
	}
	output := publish.New(j.folder())
	out, err := j.build(ctx, folder, output, &texts{})
	if err == nil {
		err = j.publish(ctx, output, &out)
	}
	if late := output.Close(); out.Err == nil {
		out.Err = late
	}
	if err != nil {
		return Outcome{}, err
	}
	return out, nil
}

// build runs the script. Seen takes in what the run sees of the disk, as it sees it;
// the error is the context's.
func (j Job) build(ctx context.Context, folder *read.Folder, output *publish.Output, seen *texts) (Outcome, error) {
	start := time.Now()
	output.Begin()
	out, err := j.outcome(ctx, engine.Request{
		Script: folder.Script(), Read: j.reading(folder, seen.recording(j.texts(folder))), Params: j.Params, Formats: j.Formats, Also: j.Also, For: j.For, Paper: j.Paper, Layout: j.Layout,
		LastPreview: output.Last(emit.PreviewName),
	})
	out.Built = time.Since(start)
	return out, err
}

func (j Job) folder() publish.Folder {
	script := filepath.Base(j.Script)
	if j.Layout != nil {
		script += " on a sheet" // so that neither takes the other's files for its own of an earlier run
	}
	return publish.Folder{Path: j.Dir, Shown: j.shownDir, Script: script, Derived: j.Derived}
}

// publish brings a run's files to disk. The error is the context's: it ended
// while another run was writing there.
func (j Job) publish(ctx context.Context, output *publish.Output, out *Outcome) error {
	start := time.Now()
	out.Change, out.Err = output.Files(ctx, out.Files, out.Exit == engine.Clean)
	out.Published = time.Since(start)
	if out.Err != nil && ctx.Err() != nil && errors.Is(out.Err, ctx.Err()) {
		return context.Cause(ctx)
	}
	return nil
}
