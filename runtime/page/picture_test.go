package page

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
)

// pieceOf is a display of one piece with a panel of a line, an arc of three quarter turns
// and a cubic curve, and a crease.
func pieceOf(inside bool, colour string) []byte {
	return fmt.Appendf(nil, `{"kinds":[{"kind":"crease","colour":%q,"width":0.25,"dash":[12,3]},{"kind":"cut","colour":"#000000","width":0.5,"dash":[]}],
		"pieces":[{"name":"<b>","inside":%v,"bounds":[10,20,110,70],
			"panels":[{"name":"</svg><script>","flat":[0,1,-1,0,100,20],"rings":[[[0,0,0,30,0],[1,30,0,20,10,30,10,10,4.71238898038469],[2,20,10,10,10,10,0,5,0]]]}],
			"strokes":[{"kind":"cut","curves":[[0,10,20,110,20]]}],
			"hinges":[{"kind":"crease","curves":[[0,60,20,60,70]]}]}]}`, colour, inside)
}

// The picture has each curve where the display says it is: a line goes to its end, an arc by
// quarter turns about its centre, a cubic by its control points, all moved to the blank. What is
// seen from the inside is mirrored.
func TestPictureOfTheBlank(t *testing.T) {
	const board = `d="M100 20L100 50A10 10 0 0 1 90 60A10 10 0 0 1 80 50A10 10 0 0 1 90 40C90 30 100 30 100 25"`
	for _, inside := range []bool{false, true} {
		got := string(picture(pieceOf(inside, "#0072B2")))
		box, turn, class := "10 -70 100 50", "scale(1 -1)", `class="board"`
		if inside {
			box, turn, class = "-110 -70 100 50", "scale(-1 -1)", `class="board inside"`
		}
		for _, want := range []string{
			`viewBox="` + box + `"`, `transform="` + turn + `"`, class, board,
			`stroke="#0072B2" stroke-width="1" stroke-dasharray="12 3" d="M60 20L60 70"`,
			`stroke="#000000" stroke-width="1.89" d="M10 20L110 20"`,
		} {
			if !strings.Contains(got, want) {
				t.Errorf("no %s in %s", want, got)
			}
		}
	}
}

// plainElements is all that a picture may have in it.
var plainElements = regexp.MustCompile(`</?(svg|g|path)( (class|viewBox|aria-hidden|transform|d|stroke|stroke-width|stroke-dasharray)="[\w #.(),-]*")*/?>`)

// Of what a script decides the picture has numbers and colours alone, whatever stands in the
// display: bytes of it are changed at random.
func TestPictureHasNoTextOfTheScript(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 11))
	drawn := 0
	for range 3000 {
		display := pieceOf(r.IntN(2) == 0, []string{"#0072B2", `#0072B2"/><script>`}[r.IntN(2)])
		for range r.IntN(4) {
			display[r.IntN(len(display))] = `0123456789.-eE[],"<>#`[r.IntN(21)]
		}
		got := picture(display)
		if len(got) > 0 {
			drawn++
		}
		if rest := plainElements.ReplaceAll(got, nil); len(rest) > 0 {
			t.Fatalf("besides plain elements there is %q of %s", rest, display)
		}
	}
	if drawn < 1000 {
		t.Errorf("only %d were drawn", drawn)
	}
}

// What cannot be drawn is left out, and the page is whole without it.
func TestPageWithoutAPicture(t *testing.T) {
	large := bytes.Replace(pieceOf(false, "#0072B2"), []byte("[0,10,20,110,20]"), []byte("[0,10,20,110,20]"+strings.Repeat(",[0,10,20,111,21]", 40000)), 1)
	for name, display := range map[string][]byte{
		"none": nil, "no JSON": []byte("{"), "no pieces": []byte(`{"pieces":[]}`), "too large": large,
		"odd curves": []byte(`{"kinds":[],"pieces":[{"bounds":[0,0,1,1],"panels":[{"rings":[[[],[7],[1,2,3],[1,0,0,1,1,0,0,1,1e99]]]}]}]}`),
	} {
		if got := picture(display); bytes.Contains(got, []byte("A")) || name != "odd curves" && got != nil {
			t.Errorf("%s: %.200s", name, got)
		}
	}
}

// The page has its style in it, which the policy allows by its digest, and names the data of
// the first script; what has changed is in the next answer.
func TestPageHoldsWhatIsShownFirst(t *testing.T) {
	s := serve(t, &source{})
	res, body := ask(t, s, "GET", "", "")
	if !strings.Contains(res.Header.Get("Content-Security-Policy"), "style-src 'self' 'sha256-") || !strings.Contains(body, "<style>"+string(style())+"</style>") {
		t.Error("the style is not in the page, or not allowed")
	}
	if strings.Contains(body, "preload") || strings.Contains(body, "<svg") {
		t.Error("without a script there is data")
	}
	for _, colour := range []string{"#0072B2", "#112233"} {
		id := s.Add(Script{})
		s.Show(id, Run{Display: pieceOf(false, colour)})
		_, body = ask(t, s, "GET", "", "")
		if !strings.Contains(body, `href="data/`+digestOf(pieceOf(false, colour))+`"`) || !strings.Contains(body, `stroke="`+colour+`"`) {
			t.Errorf("the page has not what is shown: %s", body[strings.Index(body, "</style>"):])
		}
		s.Remove(id)
	}
}

// A dark system sees the same colours before the script has run as after it.
func TestDarkColoursAreThere(t *testing.T) {
	text := string(style())
	block := func(head string) string {
		_, rest, _ := strings.Cut(text, head+" {\n")
		body, _, _ := strings.Cut(rest, "}")
		return strings.Join(strings.Fields(body), " ")
	}
	if chosen, system := block(`:root[data-colours="dark"]`), block(`:root:not([data-colours])`); chosen != system || chosen == "" {
		t.Errorf("chosen: %s\nof the system: %s", chosen, system)
	}
}
