package diag

import (
	"encoding/json"
	"math"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

func TestJSONOfAFinding(t *testing.T) {
	at := geom.Pt(10.1+0.2, math.Copysign(0, -1))
	f := &Finding{
		Rule: "join-gap", Severity: Error, Message: `tab "seam" <misses> its panel`, Hint: "add 2 mm",
		Site:  source.Site{span("box.star", 8, 9, 20), span("//seams.star", 3, 5, 9)},
		Piece: "box", Panel: "seam", Pose: "closed", At: &at,
		Related: []Related{{span("box.star", 2, 1, 4), "the target"}},
	}
	const want = `[
{"rule":"join-gap","severity":"error","message":"tab \"seam\" <misses> its panel","hint":"add 2 mm",` +
		`"file":"box.star","line":8,"column":9,"piece":"box","panel":"seam","pose":"closed","at":[10.3,0],` +
		`"related":[{"message":"inside this library call","file":"//seams.star","line":3,"column":5},` +
		`{"message":"the target","file":"box.star","line":2,"column":1}]}
]
`
	if got := string(JSON([]*Finding{f})); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
}

// Keys that do not apply are left out, and every list of findings is an array.
func TestJSONOfLittle(t *testing.T) {
	if got := string(JSON(nil)); got != "[\n]\n" {
		t.Errorf("no findings: %q", got)
	}
	nowhere := geom.Pt(math.NaN(), 0)
	f := &Finding{Rule: RuleScript, Severity: Note, Message: "m", At: &nowhere}
	const want = "[\n{\"rule\":\"script\",\"severity\":\"note\",\"message\":\"m\"},\n{\"rule\":\"script\",\"severity\":\"note\",\"message\":\"m\"}\n]\n"
	got := JSON([]*Finding{f, f})
	if string(got) != want {
		t.Errorf("got %s want %s", got, want)
	}
	if !json.Valid(got) {
		t.Error("not valid JSON")
	}
}

func TestJSONOfAWaivedFinding(t *testing.T) {
	w := Waived{&Finding{Rule: "join-gap", Severity: Error, Message: "m", Panel: "seam"}, "shown to the binder"}
	got, err := json.Marshal(w)
	const want = `{"rule":"join-gap","severity":"error","message":"m","panel":"seam","reason":"shown to the binder"}`
	if err != nil || string(got) != want {
		t.Errorf("got %s (%v), want %s", got, err, want)
	}
}
