package preview

import (
	"context"
	"fmt"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/creasewright/creasewright/runtime/geom"
)

// babble is a text of up to most words of many lengths.
func babble(rng *rand.Rand, most int) string {
	words := make([]string, 1+rng.IntN(most))
	for i := range words {
		words[i] = strings.Repeat(string(rune('a'+rng.IntN(26))), 1+rng.IntN(12))
		if rng.IntN(20) == 0 {
			words[i] = strings.Repeat("W", 90)
		}
	}
	return strings.Join(words, " ")
}

// noisyBlocks are blocks of all items, short and long.
func noisyBlocks(rng *rand.Rand) []Block {
	blocks := []Block{Title(babble(rng, 30), babble(rng, 6))}
	for range rng.IntN(14) {
		b := Block{Heading: babble(rng, 12), Large: rng.IntN(4) == 0}
		for range rng.IntN(9) {
			switch rng.IntN(4) {
			case 0:
				b.Items = append(b.Items, Fact{babble(rng, 3), babble(rng, 80), 24})
			case 1:
				b.Items = append(b.Items, Note(babble(rng, 60)))
			case 2:
				b.Items = append(b.Items, Words(babble(rng, 60)))
			default:
				t := Table{Wide: rng.IntN(2)}
				for range 2 + rng.IntN(4) {
					t.Columns = append(t.Columns, Column{babble(rng, 2), rng.IntN(2) == 0})
				}
				for range rng.IntN(60) {
					row := make([]string, len(t.Columns))
					for i := range row {
						row[i] = babble(rng, 3)
					}
					row[t.Wide] = babble(rng, 20)
					t.Rows = append(t.Rows, row)
				}
				b.Items = append(b.Items, t)
			}
		}
		blocks = append(blocks, b)
	}
	return blocks
}

// Laws of pages of tables, on random blocks: no two texts meet, all lie on the paper inside
// its margin, every page is numbered of all, and the same blocks give the same pages.
func TestTables(t *testing.T) {
	rng := rand.New(rand.NewPCG(7, 14))
	longest := 0
	for n := range 8 {
		size := []geom.Point{geom.Pt(210, 297), geom.Pt(215.9, 279.4)}[n%2]
		blocks := noisyBlocks(rng)
		sheets := Tables(size, babble(rng, 40), 3, blocks)
		longest = max(longest, len(sheets))
		inside := geom.Box{Max: size}.Grow(-margin + 0.3) // a title's type is measured with room above
		for i, s := range sheets {
			svg := drawnTables(t, s)
			texts := SheetTexts(t, svg)
			for j, x := range texts {
				if b := x.tile.bounds(); b.Min.X < inside.Min.X || b.Max.X > inside.Max.X || b.Min.Y < inside.Min.Y || b.Max.Y > inside.Max.Y {
					t.Errorf("%d: %q reaches %v, beyond the margin", n, x.Text, b)
				}
				for _, y := range texts[:j] {
					if x.Meets(y) {
						t.Errorf("%d: %q meets %q", n, x.Text, y.Text)
					}
				}
			}
			number := fmt.Sprintf("page %d of %d", 3+i+1, 3+len(sheets))
			if !slices.ContainsFunc(texts, func(x SheetText) bool { return x.Text == number }) {
				t.Errorf("%d: no %q", n, number)
			}
			if string(svg) != string(drawnTables(t, Tables(size, sheets[0].Title, 3, blocks)[i])) {
				t.Errorf("%d: another time page %d differs", n, i)
			}
		}
	}
	if longest < 5 {
		t.Errorf("%d pages at most", longest)
	}
}

func drawnTables(t *testing.T, s *Sheet) []byte {
	t.Helper()
	svg, err := SVG(context.Background(), s)
	if err != nil {
		t.Fatal(err)
	}
	return svg
}

// All rows of a table stand on the pages in their order, and each once.
func TestTableRows(t *testing.T) {
	table := Table{Columns: []Column{{"word", false}, {"figure", true}}}
	for i := range 400 {
		table.Rows = append(table.Rows, []string{fmt.Sprintf("row %d", i), fmt.Sprint(1000 + i)})
	}
	var got []string
	for _, s := range Tables(geom.Pt(210, 297), "foot", 0, []Block{{Heading: "Long", Items: []Item{table}}}) {
		for _, x := range SheetTexts(t, drawnTables(t, s)) {
			if strings.HasPrefix(x.Text, "row ") {
				got = append(got, x.Text)
			}
		}
	}
	for i, text := range got {
		if text != table.Rows[i][0] {
			t.Fatalf("row %d is %q", i, text)
		}
	}
	if len(got) != 400 {
		t.Errorf("%d rows", len(got))
	}
}

// A block without items is left out, unless its heading is a large one; columns of the last
// page are about equally long.
func TestBlocks(t *testing.T) {
	var notes []Item
	for i := range 20 {
		notes = append(notes, Note(fmt.Sprintf("note %d", i)))
	}
	s := Tables(geom.Pt(210, 297), "foot", 1, []Block{{Heading: "empty"}, {Heading: "large", Large: true}, {Heading: "full", Items: notes}})
	if len(s) != 1 {
		t.Fatalf("%d pages", len(s))
	}
	left, right, low := 0, 0, 0.0
	for _, x := range SheetTexts(t, drawnTables(t, s[0])) {
		if x.Text == "empty" {
			t.Error("an empty block has a heading")
		}
		if strings.HasPrefix(x.Text, "note") {
			low = max(low, x.Mid.Y)
			if x.Mid.X < 105 {
				left++
			} else {
				right++
			}
		}
	}
	if left == 0 || right == 0 || low > 100 {
		t.Errorf("%d notes in the left column, %d in the right, down to %g", left, right, low)
	}
}
