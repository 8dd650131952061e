package worker

import (
	"context"
	"reflect"
	"slices"
	"testing"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/limit"
)

// Law: what a screen shows, and the stages that are told, are the same from a child as in
// this process.
func TestDisplaysComeThrough(t *testing.T) {
	p := pool(t)
	texts := examples(t)
	texts["broken"] = "piece("
	texts["faulty"] = tray + `require(False, "no")`
	for name, text := range texts {
		for _, req := range []engine.Request{
			{Also: []emit.Kind{emit.KindDisplay}},
			{Motion: &engine.MotionRequest{Pose: "closed", Shares: []float64{0, 1. / 3, 1}}},
			{Motion: &engine.MotionRequest{Pose: "no such"}},
		} {
			var told [2][]string
			var got [2]engine.Result
			for i, run := range []func() engine.Result{
				func() engine.Result { res, _ := engine.Run(context.Background(), req); return res },
				func() engine.Result { return runIn(p, req) },
			} {
				req.Script, req.Read, req.Params = "box.star", from(map[string]string{"box.star": text}), map[string]string{}
				req.Stage = func(stage string) { told[i] = append(told[i], stage) }
				got[i] = plain(run())
			}
			if !reflect.DeepEqual(got[0], got[1]) || !slices.Equal(told[0], told[1]) || len(told[0]) == 0 {
				t.Errorf("%s: exit %d, %d files, %v after %v; here %d, %d, %v after %v", name,
					got[1].Exit, len(got[1].Files), got[1].Findings, told[1], got[0].Exit, len(got[0].Files), got[0].Findings, told[0])
			}
		}
	}
}

// listens is hears for any request.
func listens(req engine.Request, said []byte) (engine.Result, *diag.Finding) {
	x := newExchange(req)
	x.req.Limits = limit.Defaults()
	return x.perform(context.Background(), acted(said), question{})
}

// Stages that a child tells in their order are passed on, whichever it leaves out; any
// other talk of them is that of a child that has been taken over.
func TestStagesOutOfTurn(t *testing.T) {
	label, answer := says(frameLabel, "box.star"), honest().said()[len(says(frameLabel, "box.star")):]
	stage := func(numbers ...byte) (out []byte) {
		for _, n := range numbers {
			out = append(out, says(frameStage, []byte{n})...)
		}
		return out
	}
	for name, c := range map[string]struct {
		said []byte
		ok   bool
		told []string
	}{
		"all":        {slices.Concat(stage(0), label, stage(1, 2, 3, 4), answer), true, engine.Stages()},
		"some":       {slices.Concat(label, stage(0, 2), answer), true, []string{engine.StageScript, engine.StageFolds}},
		"none":       {slices.Concat(label, answer), true, nil},
		"twice":      {slices.Concat(label, stage(1, 1), answer), false, []string{engine.StageBlank}},
		"backwards":  {slices.Concat(label, stage(2, 1), answer), false, []string{engine.StageFolds}},
		"none such":  {slices.Concat(label, stage(5), answer), false, nil},
		"last byte":  {slices.Concat(label, stage(255), answer), false, nil},
		"no number":  {slices.Concat(label, says(frameStage, ""), answer), false, nil},
		"two":        {slices.Concat(label, says(frameStage, "\x00\x01"), answer), false, nil},
		"afterwards": {slices.Concat(label, says(frameAnswer, mustJSON(honest())), stage(4)), false, nil},
	} {
		var told []string
		req := request(tray)
		req.Stage = func(stage string) { told = append(told, stage) }
		res, _ := listens(req, c.said)
		if (res.Exit == engine.Faulty) != c.ok || (res.Exit == engine.Crashed) == c.ok || !slices.Equal(told, c.told) {
			t.Errorf("%s: exit %d, told %v, %v", name, res.Exit, told, res.Findings)
		}
	}
	if res, _ := listens(request(tray), slices.Concat(label, stage(0), answer)); res.Exit != engine.Crashed {
		t.Errorf("stages that nobody asked for: exit %d", res.Exit)
	}
}

// A child gives the files that it was asked for and no others: no display unasked, and
// for a motion nothing else.
func TestUnaskedDisplays(t *testing.T) {
	display := fileHeader{emit.DisplayName, emit.KindDisplay}
	withDisplay := honest()
	withDisplay.Files = slices.Insert(withDisplay.Files, 1, display)
	motion := &answer{Files: []fileHeader{{emit.MotionName, emit.KindMotion}}}
	shown, moved := request(tray), request(tray)
	shown.Also = []emit.Kind{emit.KindDisplay}
	moved.Motion = &engine.MotionRequest{Pose: "closed"}
	for name, c := range map[string]struct {
		req  engine.Request
		said []byte
		want engine.Exit
	}{
		"asked":             {shown, withDisplay.said(), engine.Faulty},
		"asked, none":       {shown, honest().said(), engine.Crashed},
		"unasked":           {request(tray), withDisplay.said(), engine.Crashed},
		"motion":            {moved, motion.said(), engine.Clean},
		"motion, files":     {moved, honest().said(), engine.Crashed},
		"unasked motion":    {request(tray), motion.said(), engine.Crashed},
		"display as motion": {moved, (&answer{Files: []fileHeader{display}}).said(), engine.Crashed},
	} {
		if res, _ := listens(c.req, c.said); res.Exit != c.want {
			t.Errorf("%s: exit %d, %v", name, res.Exit, res.Findings)
		}
	}
}
