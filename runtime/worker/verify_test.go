package worker

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"math/rand"
	"reflect"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/emit"
	"github.com/creasewright/creasewright/runtime/engine"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// acted is a child that says just these bytes and dies.
func acted(said []byte) *process {
	done := make(chan struct{})
	close(done)
	return &process{
		in: nopCloser{io.Discard}, out: io.NopCloser(bytes.NewReader(said)),
		stderr: &stderr{}, kill: func() {}, done: done, state: "exit status 9",
	}
}

type nopCloser struct{ io.Writer }

func (nopCloser) Close() error { return nil }

// hears has the parent listen to a child that says these bytes.
func hears(said []byte) (engine.Result, *diag.Finding) {
	x := &exchange{req: request(tray), served: map[string]bool{}}
	x.req.Limits = limit.Defaults()
	return x.perform(context.Background(), acted(said), question{})
}

// says is a child's talk: frames of these kinds and bodies.
func says(kindsAndBodies ...any) []byte {
	var out bytes.Buffer
	for i := 0; i < len(kindsAndBodies); i += 2 {
		body, ok := kindsAndBodies[i+1].([]byte)
		if !ok {
			body = []byte(kindsAndBodies[i+1].(string))
		}
		_ = writeFrame(&out, kindsAndBodies[i].(byte), body)
	}
	return out.Bytes()
}

// honest is a sound answer with a finding in it.
func honest() *answer {
	return &answer{
		Exit:  engine.Faulty,
		Files: []fileHeader{{emit.PreviewName, emit.KindPreview}, {emit.ReportName, emit.KindReport}},
		Findings: []*finding{{
			Rule: "join-gap", Severity: diag.Error, Message: "the tab misses its panel",
			Site:    source.Site{{File: "box.star", Line: 4, Column: 1, EndLine: 4, EndColumn: 5}, {File: "//tubes.star", Line: 9}},
			Related: []diag.Related{{Span: source.Span{File: "box.star", Line: 3}, Message: "the panel"}},
			At:      &geom.Point{X: 1, Y: 2},
		}},
		Excerpts: []engine.Excerpt{{File: "box.star", Line: 4, Text: "wall = …"}},
		Reads:    []source.Read{{Label: "box.star", Absent: true}, {Label: "//tubes.star"}, {Label: "/etc/passwd"}},
		Pieces:   []string{"tray"},
	}
}

func (a *answer) said() []byte {
	text, err := json.Marshal(a)
	if err != nil {
		panic(err)
	}
	out := says(frameLabel, "box.star", frameAnswer, text)
	for _, f := range a.Files {
		out = append(out, says(frameFile, fileOf(f.Kind))...)
	}
	return out
}

// fileOf is the least that looks like a file of a kind.
func fileOf(k emit.Kind) string {
	f, _ := emit.Formats().Of(k)
	between, ok := map[emit.Kind]string{emit.KindCutDXF: "", emit.KindMachineDXF: "", emit.KindLayoutDXF: "", emit.KindMachineHPGL: "", emit.KindMachineGCode: ")"}[k]
	if !ok {
		between = ">"
	}
	return f.Head + between + f.Tail
}

func TestAnHonestAnswerIsTaken(t *testing.T) {
	res, fault := hears(honest().said())
	if fmt.Sprint(res.Reads) != "[{//tubes.star false} {box.star false}]" {
		t.Errorf("reads: %v", res.Reads)
	}
	if fault != nil || res.Exit != engine.Faulty || len(res.Files) != 2 || string(res.Files[1].Bytes) != fileOf(emit.KindReport) || *res.Findings[0].At != geom.Pt(1, 2) {
		t.Errorf("%v, exit %d, %v", fault, res.Exit, res.Findings)
	}
}

// Whatever a child says that none of ours would is a failure of the program
// that says so, with no file to write.
func TestSenselessAnswers(t *testing.T) {
	var labels []byte
	for i := range maxLabels + 2 {
		labels = append(labels, says(frameLabel, fmt.Sprint(i))...)
	}
	deep := strings.Repeat("[", 100_000)
	bent := func(change func(*answer)) []byte {
		a := honest()
		change(a)
		return a.said()
	}
	for name, said := range map[string][]byte{
		"nothing":             nil,
		"half a frame":        {frameAnswer, 1},
		"a broken frame":      append(says(frameLabel, "box.star"), frameAnswer, 100, 0, 0, 0, '{'),
		"a huge frame":        {frameAnswer, 0xff, 0xff, 0xff, 0xff},
		"an unknown frame":    says(byte('?'), ""),
		"a file first":        says(frameFile, "x"),
		"no answer":           says(frameLabel, "box.star"),
		"not JSON":            says(frameAnswer, "hello"),
		"deep JSON":           says(frameAnswer, deep),
		"unknown fields":      says(frameAnswer, `{"Exit": 0, "Mood": 1}`),
		"a long label":        says(frameLabel, strings.Repeat("x", 5000)),
		"many labels":         labels,
		"two answers":         append(bent(func(a *answer) { a.Files = nil }), honest().said()...),
		"a file missing":      says(frameLabel, "box.star", frameAnswer, mustJSON(honest()), frameFile, "x"),
		"a label afterwards":  says(frameAnswer, mustJSON(honest()), frameLabel, "box.star"),
		"no such ending":      bent(func(a *answer) { a.Exit = 4 }),
		"an ending below":     bent(func(a *answer) { a.Exit = -1 }),
		"clean with errors":   bent(func(a *answer) { a.Exit = engine.Clean }),
		"files of a crash":    bent(func(a *answer) { a.Exit = engine.Crashed }),
		"another file":        bent(func(a *answer) { a.Files[1].Name = "notes.txt" }),
		"a cut file":          bent(func(a *answer) { a.Files[0] = fileHeader{"tray.cut.svg", emit.KindCutSVG} }),
		"a way out":           bent(func(a *answer) { a.Files[1].Name = "../report.json" }),
		"another kind":        bent(func(a *answer) { a.Files[1].Kind = emit.KindPreview }),
		"one file less":       bent(func(a *answer) { a.Files = a.Files[:1] }),
		"many files":          bent(func(a *answer) { a.Files = make([]fileHeader, 100) }),
		"a piece's way out":   bent(func(a *answer) { a.Pieces[0] = "../tray" }),
		"a piece with a NUL":  bent(func(a *answer) { a.Pieces[0] = "tr\x00ay" }),
		"a hidden piece":      bent(func(a *answer) { a.Pieces[0] = ".tray" }),
		"two of one name":     bent(func(a *answer) { a.Pieces = []string{"Tray", "tRAY"} }),
		"another's bytes":     append(says(frameLabel, "box.star", frameAnswer, mustJSON(honest())), says(frameFile, fileOf(emit.KindPreview), frameFile, "#!/bin/sh\n")...),
		"a picture's script":  append(says(frameLabel, "box.star", frameAnswer, mustJSON(honest())), says(frameFile, strings.Replace(fileOf(emit.KindPreview), "</svg>", "<script>x()</script></svg>", 1), frameFile, fileOf(emit.KindReport))...),
		"findings for ever":   says(frameAnswer, `{"Findings":[`+strings.Repeat("{},", maxItems)+`{}]}`),
		"parts for ever":      bytes.Repeat(says(frameAnswer, `{"More":true,"Stack":"`+strings.Repeat("x", maxPart-100)+`"}`), 20),
		"a great part":        says(frameAnswer, strings.Repeat(" ", maxPart+1)),
		"a file too soon":     says(frameAnswer, `{"More":true}`, frameFile, "x"),
		"many spots":          bent(func(a *answer) { a.Findings[0].Related = make([]diag.Related, maxSpans+1) }),
		"many places":         bent(func(a *answer) { a.Findings[0].Site = make(source.Site, maxSpans+1) }),
		"one label for ever":  bytes.Repeat(says(frameLabel, "box.star"), maxLabels+2),
		"a machine not asked": bent(func(a *answer) { a.Targets = []emit.Target{{Machine: "die", Kind: emit.KindMachineDXF}} }),
		"a nameless piece":    bent(func(a *answer) { a.Pieces[0] = "" }),
		"a long piece":        bent(func(a *answer) { a.Pieces[0] = strings.Repeat("x", 61) }),
		"no finding":          bent(func(a *answer) { a.Findings = append(a.Findings, nil) }),
		"a severe finding":    bent(func(a *answer) { a.Findings[0].Severity = 9 }),
		"a rule's markup":     bent(func(a *answer) { a.Findings[0].Rule = "<b>" }),
		"a long message":      bent(func(a *answer) { a.Findings[0].Message = strings.Repeat("x", 200_000) }),
		"another's file":      bent(func(a *answer) { a.Findings[0].Site[0].File = "/etc/passwd" }),
		"a line below":        bent(func(a *answer) { a.Findings[0].Site[0].Line = -4 }),
		"a related file":      bent(func(a *answer) { a.Findings[0].Related[0].Span.File = "other.star" }),
		"an excerpt's file":   bent(func(a *answer) { a.Excerpts[0].File = "other.star" }),
		"an excerpt's line":   bent(func(a *answer) { a.Excerpts[0].Line = 0 }),
	} {
		res, fault := hears(said)
		if fault != nil || res.Exit != engine.Crashed || len(res.Files) > 0 || len(res.Findings) != 1 || res.Findings[0].Rule != engine.RuleCrash {
			t.Errorf("%s: %v, exit %d, %v", name, fault, res.Exit, res.Findings)
		}
	}
}

// Machines are those that were asked for, in that order, with files of the kinds that
// machines take: anything else could name files as it likes.
func TestMachinesOfAnAnswer(t *testing.T) {
	die, laser := emit.Target{Machine: "die", Kind: emit.KindMachineDXF}, emit.Target{Machine: "laser", Kind: emit.KindMachineSVG}
	for name, c := range map[string]struct {
		asked []string
		named []emit.Target
		want  bool
	}{
		"as asked":        {[]string{"die", "laser", "die"}, []emit.Target{die, laser}, true},
		"none":            {nil, nil, true},
		"one missing":     {[]string{"die", "laser"}, []emit.Target{die}, false},
		"another order":   {[]string{"die", "laser"}, []emit.Target{laser, die}, false},
		"one more":        {[]string{"die"}, []emit.Target{die, laser}, false},
		"no such kind":    {[]string{"die"}, []emit.Target{{Machine: "die", Kind: "exe"}}, false},
		"a kind of piece": {[]string{"die"}, []emit.Target{{Machine: "die", Kind: emit.KindCutSVG}}, false},
		"a way out":       {[]string{"../die"}, []emit.Target{{Machine: "../die", Kind: emit.KindMachineDXF}}, false},
	} {
		a := honest()
		a.Targets = c.named
		x := &exchange{req: request(tray), served: map[string]bool{}}
		x.req.Limits, x.req.For = limit.Defaults(), c.asked
		res, _ := x.perform(context.Background(), acted(a.said()), question{})
		if got := res.Exit == engine.Faulty; got != c.want {
			t.Errorf("%s: taken %v, want %v; %v", name, got, c.want, res.Findings)
		}
	}
}

func mustJSON(a *answer) []byte {
	text, err := json.Marshal(a)
	if err != nil {
		panic(err)
	}
	return text
}

// A child that floods its parent is cut off.
func TestFloods(t *testing.T) {
	x := &exchange{req: request(tray), served: map[string]bool{}}
	x.req.Limits = limit.Defaults()
	x.req.Limits[limit.Output] = 1 << 10
	flood := io.MultiReader(bytes.NewReader(says(frameLabel, "box.star")), &endless{one: says(framePanels, "\x05\x00\x00\x00")})
	w := acted(nil)
	w.out = io.NopCloser(flood)
	res, fault := x.perform(context.Background(), w, question{})
	if fault != nil || res.Exit != engine.Crashed || !strings.Contains(res.Findings[0].Message, "says more than it may") {
		t.Errorf("%v, exit %d, %v", fault, res.Exit, res.Findings)
	}
}

// endless says one thing over and over.
type endless struct {
	one []byte
	at  int
}

func (e *endless) Read(p []byte) (int, error) {
	n := copy(p, e.one[e.at:])
	e.at = (e.at + n) % len(e.one)
	return n, nil
}

// Last words and shared memory may hold anything.
func TestLastWords(t *testing.T) {
	p := &position{memory: make([]byte, positionSize)}
	p.set(source.Site{{File: "box.star", Line: 3, Column: 1, EndLine: 3, EndColumn: 9}})
	elsewhere := &position{memory: make([]byte, positionSize)}
	elsewhere.set(source.Site{{File: "/etc/passwd", Line: 1}})
	for name, c := range map[string]struct {
		said []byte
		want string
	}{
		"time":          {append([]byte{byte(limit.Time)}, p.memory...), "box.star:3:1: the run takes more than 2 s"},
		"memory":        {append([]byte{byte(limit.Memory)}, p.memory...), "box.star:3:1: the run needs more than 256 MB of memory"},
		"no place":      {[]byte{byte(limit.Memory)}, "box.star: the run needs more than 256 MB of memory"},
		"no such place": {append([]byte{byte(limit.Time)}, elsewhere.memory...), "box.star: the run takes more than 2 s"},
	} {
		_, fault := hears(says(frameLabel, "box.star", frameLimit, c.said))
		if fault == nil || fault.Error() != c.want {
			t.Errorf("%s: %v, want %q", name, fault, c.want)
		}
	}
	if res, fault := hears(says(frameLimit, []byte{200})); fault != nil || res.Exit != engine.Crashed {
		t.Errorf("no such limit: %v, exit %d", fault, res.Exit)
	}
}

// Law: whatever a run in an honest child comes to, be its findings without text,
// of any length and number, and its names alike but for a letter, the parent
// takes the answer, and with it the files.
func TestWhateverIsHonestIsTaken(t *testing.T) {
	r := rand.New(rand.NewSource(7))
	word := func() string {
		words := []string{"", "\x00\xff\u2028", "<b>", strings.Repeat("ş", 7000), strings.Repeat("\xff", 6000), "join"}
		return words[r.Intn(len(words))]
	}
	span := func() source.Span {
		return source.Span{File: []string{"", "box.star", "//tubes.star"}[r.Intn(3)], Line: r.Intn(9), Column: r.Intn(9)}
	}
	for range 40 {
		res := engine.Result{Exit: engine.Exit(r.Intn(4)), Pieces: []string{"kapı", "kapi", "ﬁ", "fi", "ß", "ss", "ẞß"}[r.Intn(2) : 2+r.Intn(5)], Stack: word()}
		for range r.Intn(1 << r.Intn(9)) {
			f := &diag.Finding{Rule: "script", Severity: diag.Error, Message: word(), Hint: word(), Piece: word(), Panel: word()}
			if res.Exit == engine.Clean {
				f.Severity = diag.Severity(r.Intn(2))
			}
			for range r.Intn(1 << r.Intn(7)) {
				f.Site, f.Related = append(f.Site, span()), append(f.Related, diag.Related{Span: span(), Message: word()})
			}
			res.Findings = append(res.Findings, f)
			res.Excerpts = append(res.Excerpts, engine.Excerpt{File: "box.star", Line: 1 + r.Intn(9), Text: word()})
			res.Prints, res.Cautions = append(res.Prints, "line"), append(res.Cautions, word())
		}
		if res.Exit < engine.Crashed {
			for _, f := range emit.Formats().Files(emit.When(res.Exit), res.Pieces, emit.Asked{}) {
				res.Files = append(res.Files, engine.File{Name: f.Name, Traits: f.Format.Traits, Bytes: []byte(fileOf(f.Format.Kind))})
			}
		}
		var said bytes.Buffer
		if err := sendResult(&sender{out: &said}, res); err != nil {
			t.Fatal(err)
		}
		got, fault := hears(append(says(frameLabel, "box.star"), said.Bytes()...))
		if fault != nil || got.Exit != res.Exit || !reflect.DeepEqual(got.Files, res.Files) || !slices.Equal(got.Prints, res.Prints) {
			t.Errorf("exit %d, %d findings: %v, exit %d, %d files, %.200v", res.Exit, len(res.Findings), fault, got.Exit, len(got.Files), got.Findings)
		}
		if len(res.Findings) < 20 && len(got.Findings) != len(res.Findings) {
			t.Errorf("of %d findings %d came", len(res.Findings), len(got.Findings))
		}
	}
}

// An honest answer that has more to tell than there is room for comes without the
// findings that have none, and with all its files.
func TestAnAnswerThatIsTooLong(t *testing.T) {
	res := engine.Result{Exit: engine.Faulty, Pieces: []string{"tray"}}
	for range 2 * maxFindingBytes / diag.MostText {
		res.Findings = append(res.Findings, &diag.Finding{Rule: "script", Severity: diag.Error, Message: strings.Repeat("x", diag.MostText)})
	}
	for _, f := range emit.Formats().Files(emit.WithErrors, res.Pieces, emit.Asked{}) {
		res.Files = append(res.Files, engine.File{Name: f.Name, Traits: f.Format.Traits, Bytes: []byte(fileOf(f.Format.Kind))})
	}
	var said bytes.Buffer
	if err := sendResult(&sender{out: &said}, res); err != nil {
		t.Fatal(err)
	}
	got, fault := hears(append(says(frameLabel, "box.star"), said.Bytes()...))
	if n := len(got.Findings); fault != nil || n < len(res.Findings)/3 || n > len(res.Findings)/2 || len(got.Files) != len(res.Files) {
		t.Errorf("%v, %d of %d findings, %d files", fault, n, len(res.Findings), len(got.Files))
	}
}

func FuzzAnswers(f *testing.F) {
	f.Add(honest().said())
	f.Add(says(frameLabel, "box.star", framePanels, "\x09\x00\x00\x00", frameLimit, "\x01\x02"))
	f.Add(says(frameAnswer, `{"Exit":2,"Findings":[{"Rule":"script","Severity":2,"Message":"m"}]}`))
	f.Fuzz(func(t *testing.T, said []byte) {
		res, fault := hears(said)
		if fault != nil {
			if fault.Message == "" || len(fault.Site) == 0 {
				t.Errorf("a fault without a message or a place: %+v", fault)
			}
			return
		}
		for _, file := range res.Files {
			if file.Name != emit.PreviewName && file.Name != emit.ReportName && !pieceName(strings.TrimSuffix(strings.TrimSuffix(file.Name, ".cut.svg"), ".cut.dxf")) {
				t.Errorf("a file called %q", file.Name)
			}
		}
		for _, found := range res.Findings {
			if found == nil || found.Severity > diag.Error {
				t.Errorf("finding %+v", found)
			}
		}
	})
}

// A child's time is bounded by what it computes and, far more widely, by the
// clock; more panels give it more of both.
func TestTimeOfARun(t *testing.T) {
	l, at := limit.Defaults(), time.Unix(1000, 0)
	s := usage{cpuAt: 3 * time.Second, clockAt: at}
	for _, c := range []struct {
		panels     int
		cpu, clock time.Duration // since it began
		want       int
	}{
		{0, 0, 0, notKilled},
		{0, 2 * time.Second, 15 * time.Second, notKilled},
		{0, 2*time.Second + grace, 0, notKilled},
		{0, 2*time.Second + grace + 1, 0, overCPU},
		{0, 0, 16*time.Second + 1, overClock},
		{10_000, 6*time.Second + grace, 48 * time.Second, notKilled},
		{10_000, 6*time.Second + grace + 1, 0, overCPU},
		{10_000, 0, 48*time.Second + 1, overClock},
	} {
		if got := s.exceeded(l, c.panels, s.cpuAt+c.cpu, at.Add(c.clock)); got != c.want {
			t.Errorf("%d panels, %v computed, %v gone by: %d, want %d", c.panels, c.cpu, c.clock, got, c.want)
		}
	}
}

// A child that tells of more panels again and again, and does nothing else, is
// killed when its time by the clock is up.
func TestCountsGiveNoMoreTime(t *testing.T) {
	x := &exchange{req: request(tray), served: map[string]bool{}}
	x.req.Limits = limit.Defaults()
	x.req.Limits[limit.Time] = 10
	out, in := io.Pipe()
	w := acted(nil)
	w.out, w.kill = out, func() { out.Close() }
	go func() {
		for {
			if _, err := in.Write(says(framePanels, "\x05\x00\x00\x00")); err != nil {
				return
			}
			time.Sleep(time.Millisecond)
		}
	}()
	if _, fault := x.perform(t.Context(), w, question{}); fault == nil || !strings.HasPrefix(fault.Message, "the run is not done after 0.08") {
		t.Errorf("%v", fault)
	}
}

// Texts are served up to a bound on all of them together; beyond it the script
// is told so at its load.
func TestTextsAreBoundedTogether(t *testing.T) {
	var said bytes.Buffer
	x := &exchange{req: request(tray), served: map[string]bool{}, given: maxTexts - int64(len(tray))}
	w := acted(nil)
	w.in = nopCloser{&said}
	for range 2 {
		if err := x.serve(w, "box.star"); err != nil {
			t.Fatal(err)
		}
	}
	for i, want := range []byte{frameText, frameError} {
		f, err := readFrame(&said, 1<<20)
		if err != nil || f.kind != want || want == frameError && string(f.body) != "all files that are loaded have more than 64 MB together" {
			t.Errorf("answer %d: %q %q, %v", i, f.kind, f.body, err)
		}
	}
}
