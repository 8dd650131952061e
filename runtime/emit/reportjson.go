package emit

import (
	"bytes"
	"encoding/json"

	"github.com/creasewright/creasewright/runtime/blank"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/internal/decimal"
)

// The shape of report.json; keys come out in the order of the fields.
type (
	reportJSON struct {
		Format   string          `json:"format"`
		Version  int             `json:"version"`
		Script   string          `json:"script"`
		Params   object          `json:"params"`
		Pieces   []pieceJSON     `json:"pieces"`
		Findings []*diag.Finding `json:"findings"`
		Waived   []diag.Waived   `json:"waived"`
		Cautions []string        `json:"cautions"`
	}
	pieceJSON struct {
		Name     string         `json:"name"`
		Copies   int            `json:"copies"`
		Board    boardJSON      `json:"board"`
		Blank    blankJSON      `json:"blank"`
		Panels   []panelJSON    `json:"panels"`
		Hinges   []hingeJSON    `json:"hinges"`
		Joins    []joinJSON     `json:"joins"`
		Poses    []poseJSON     `json:"poses"`
		Contents []contentsJSON `json:"contents"`
	}
	boardJSON struct {
		Name    string  `json:"name"`
		Kind    string  `json:"kind"`
		Caliper length  `json:"caliper"`
		GSM     *length `json:"gsm"`
		Grain   *length `json:"grain"`
	}
	blankJSON struct {
		Width   length    `json:"width"`
		Height  length    `json:"height"`
		Origin  [2]length `json:"origin"`
		Area    coarse    `json:"area"`
		Mass    *coarse   `json:"mass_g"` // null when the grammage is not known
		Lengths object    `json:"lengths"`
		Strokes object    `json:"strokes"`
	}
	panelJSON struct {
		Name   string `json:"name"`
		Line   int    `json:"line"`
		Column int    `json:"column"`
		Area   coarse `json:"area"`
		Flat   [6]any `json:"flat"`
		Poses  object `json:"poses"`
	}
	hingeJSON struct {
		Name    string      `json:"name"`
		Parent  string      `json:"parent"`
		Child   string      `json:"child"`
		On      string      `json:"on"`
		By      string      `json:"by"`
		Closing bool        `json:"closing"`
		Kind    *blank.Kind `json:"kind"` // null when the files hold no line for it
		Length  length      `json:"length"`
		Folds   object      `json:"folds"`
	}
	joinJSON struct {
		Kind string `json:"kind"`
		A    string `json:"a"`
		B    string `json:"b"`
		Gaps object `json:"gaps"`
	}
	poseJSON struct {
		Name  string `json:"name"`
		Flat  bool   `json:"flat"`
		Stack int    `json:"stack,omitempty"`
	}
	contentsJSON struct {
		Name  string    `json:"name"`
		Panel string    `json:"panel"`
		Free  *roomJSON `json:"free,omitempty"`
	}
	roomJSON struct { // null where the way is open
		XMinus *length `json:"x-"`
		XPlus  *length `json:"x+"`
		YMinus *length `json:"y-"`
		YPlus  *length `json:"y+"`
		Z      *length `json:"z"`
	}
)

// Numbers, by how far they are rounded: length for millimetres and degrees,
// turn for the entries of a rotation, coarse for areas and masses, whose last
// bits are worth more.
type (
	length float64
	turn   float64
	coarse float64
)

// MarshalJSON rounds to 1e-9.
func (v length) MarshalJSON() ([]byte, error) { return decimal.AppendShort(nil, float64(v), 9), nil }

// MarshalJSON rounds to 1e-13.
func (v turn) MarshalJSON() ([]byte, error) { return decimal.AppendShort(nil, float64(v), 13), nil }

// MarshalJSON rounds to 1e-6.
func (v coarse) MarshalJSON() ([]byte, error) { return decimal.AppendShort(nil, float64(v), 6), nil }

func optional(v *float64) *length {
	if v == nil {
		return nil
	}
	l := length(*v)
	return &l
}

// object is a JSON object whose keys keep their order.
type object []member

type member struct {
	key   string
	value any
}

// MarshalJSON writes the members as they stand.
func (o object) MarshalJSON() ([]byte, error) {
	out := []byte{'{'}
	for i, m := range o {
		if i > 0 {
			out = append(out, ',')
		}
		out = append(append(out, mustMarshal(m.key)...), ':')
		out = append(out, mustMarshal(m.value)...)
	}
	return append(out, '}'), nil
}

// mustMarshal is compact JSON that leaves < and > as they are. It panics on
// what JSON cannot hold: a number that is not finite, which no blank has.
func mustMarshal(v any) []byte {
	var buf bytes.Buffer
	enc := json.NewEncoder(&buf)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		panic(err)
	}
	return diag.EscapeJSON(bytes.TrimSuffix(buf.Bytes(), []byte("\n")))
}
