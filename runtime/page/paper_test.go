package page

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/outsidetest"
)

// point is the unit of PDF in mm.
const point = 25.4 / 72

// paper is one page of a PDF as poppler reads it: mm, y down.
type paper struct {
	width, height float64
	lines         []inked
	words         []word
}

// inked is a path that is drawn, as chains of points within 0.01 mm of it.
type inked struct {
	colour string // #rrggbb, of its line or else of its filling
	width  float64
	filled bool
	chains [][]geom.Point
	clip   geom.Box // what of it can be seen
}

type word struct {
	text string
	box  geom.Box
}

// poppler runs one of its programs; without it the test is skipped.
func poppler(t *testing.T, program string, args ...string) []byte {
	t.Helper()
	if _, err := exec.LookPath(program); err != nil {
		outsidetest.Missing(t, err)
	}
	cmd := exec.Command(program, args...)
	var stderr bytes.Buffer
	cmd.Stderr = &stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("%s: %v\n%s", program, err, stderr.Bytes())
	}
	return out
}

// readPaper gives the pages of a PDF.
func readPaper(t *testing.T, pdf []byte) (out []paper) {
	t.Helper()
	file := filepath.Join(t.TempDir(), "print.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	words := readWords(t, poppler(t, "pdftotext", "-bbox", file, "-"))
	for i, w := range words {
		n := strconv.Itoa(i + 1)
		p := readLines(t, poppler(t, "pdftocairo", "-svg", "-f", n, "-l", n, file, "-"))
		p.words = w
		out = append(out, p)
	}
	return out
}

// readWords gives the words of each page.
func readWords(t *testing.T, bbox []byte) (out [][]word) {
	t.Helper()
	eachElement(t, bbox, func(e xml.StartElement, text func() string) {
		switch e.Name.Local {
		case "page":
			out = append(out, nil)
		case "word":
			at := func(name string) float64 { return number(t, attribute(e, name)) * point }
			box := geom.BoxOf(geom.Pt(at("xMin"), at("yMin")), geom.Pt(at("xMax"), at("yMax")))
			out[len(out)-1] = append(out[len(out)-1], word{text(), box})
		}
	})
	return out
}

// readLines gives the lines of a page that pdftocairo has written as SVG: paths with a
// matrix, in groups that clip them to the rectangles of clip paths defined before.
func readLines(t *testing.T, svg []byte) (p paper) {
	t.Helper()
	clips := map[string]geom.Box{}
	defining := ""
	type group struct {
		depth int
		box   geom.Box
	}
	var groups []group
	depth := 0
	dec := xml.NewDecoder(bytes.NewReader(svg))
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return p
		}
		if err != nil {
			t.Fatal(err)
		}
		switch e := token.(type) {
		case xml.EndElement:
			depth--
			if n := len(groups); n > 0 && groups[n-1].depth > depth {
				groups = groups[:n-1]
			}
			if e.Name.Local == "clipPath" {
				defining = ""
			}
		case xml.StartElement:
			depth++
			switch e.Name.Local {
			case "svg":
				p.width, p.height = number(t, strings.TrimSuffix(attribute(e, "width"), "pt"))*point, number(t, strings.TrimSuffix(attribute(e, "height"), "pt"))*point
			case "clipPath":
				defining = attribute(e, "id")
			case "g":
				if use := attribute(e, "clip-path"); use != "" {
					groups = append(groups, group{depth, clips[strings.TrimSuffix(strings.TrimPrefix(use, "url(#"), ")")]})
				}
			case "path":
				chains := pathChains(t, attribute(e, "d"), attribute(e, "transform"))
				style := attribute(e, "style")
				if defining != "" {
					clips[defining] = boxOf(chains)
				} else {
					l := inked{chains: chains, clip: geom.BoxOf(geom.Pt(0, 0), geom.Pt(p.width, p.height))}
					l.colour = colourOf(t, styleValue(style, "stroke"))
					if l.filled = l.colour == ""; l.filled {
						l.colour = colourOf(t, styleValue(style, "fill"))
					} else {
						l.width = number(t, styleValue(style, "stroke-width"))
					}
					for _, g := range groups {
						l.clip = geom.BoxOf(
							geom.Pt(max(l.clip.Min.X, g.box.Min.X), max(l.clip.Min.Y, g.box.Min.Y)),
							geom.Pt(min(l.clip.Max.X, g.box.Max.X), min(l.clip.Max.Y, g.box.Max.Y)))
					}
					p.lines = append(p.lines, l)
				}
			}
		}
	}
}

// eachElement calls f at the start of each element of a document; text reads what the
// element holds.
func eachElement(t *testing.T, document []byte, f func(e xml.StartElement, text func() string)) {
	t.Helper()
	dec := xml.NewDecoder(bytes.NewReader(document))
	dec.Strict, dec.Entity = false, xml.HTMLEntity
	for {
		token, err := dec.Token()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			t.Fatal(err)
		}
		if e, ok := token.(xml.StartElement); ok {
			f(e, func() string {
				var s string
				if err := dec.DecodeElement(&s, &e); err != nil {
					t.Fatal(err)
				}
				return s
			})
		}
	}
}

func attribute(e xml.StartElement, name string) string {
	for _, a := range e.Attr {
		if a.Name.Local == name {
			return a.Value
		}
	}
	return ""
}

// styleValue is the value of one property of a style.
func styleValue(style, name string) string {
	for part := range strings.SplitSeq(style, ";") {
		if v, ok := strings.CutPrefix(strings.TrimSpace(part), name+":"); ok {
			return v
		}
	}
	return ""
}

// colourOf turns rgb(a%,b%,c%) into #rrggbb, and what is no colour into "".
func colourOf(t *testing.T, value string) string {
	t.Helper()
	inner, ok := strings.CutPrefix(strings.TrimSuffix(value, ")"), "rgb(")
	if !ok {
		return ""
	}
	out := []byte("#")
	for part := range strings.SplitSeq(inner, ",") {
		share := number(t, strings.TrimSuffix(strings.TrimSpace(part), "%"))
		v := strconv.FormatInt(int64(share*255/100+0.5), 16)
		out = append(out, ("0" + v)[len(v)-1:]...)
	}
	return strings.ToUpper(string(out))
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// pathChains are the subpaths of path data of absolute M, L, C and Z, in mm.
func pathChains(t *testing.T, data, transform string) (out [][]geom.Point) {
	t.Helper()
	m := [6]float64{1, 0, 0, 1, 0, 0}
	if inner, ok := strings.CutPrefix(strings.TrimSuffix(transform, ")"), "matrix("); ok {
		for i, part := range strings.Split(inner, ",") {
			m[i] = number(t, part)
		}
	}
	words := strings.Fields(data)
	take := func() geom.Point {
		x, y := number(t, words[0]), number(t, words[1])
		words = words[2:]
		return geom.Pt(m[0]*x+m[2]*y+m[4], m[1]*x+m[3]*y+m[5]).Mul(point)
	}
	for len(words) > 0 {
		command := words[0]
		words = words[1:]
		last := len(out) - 1
		switch command {
		case "M":
			out = append(out, []geom.Point{take()})
		case "L":
			out[last] = append(out[last], take())
		case "C":
			c, d, q := take(), take(), take()
			chain := out[last]
			out[last] = geom.CubicFrom(chain[len(chain)-1], c, d, q).Flatten(chain, 0.01)
		case "Z":
			out[last] = append(out[last], out[last][0])
		default:
			t.Fatalf("path data with %q", command)
		}
	}
	return out
}

func boxOf(chains [][]geom.Point) geom.Box {
	box := geom.EmptyBox()
	for _, chain := range chains {
		for _, p := range chain {
			box = box.Add(p)
		}
	}
	return box
}
