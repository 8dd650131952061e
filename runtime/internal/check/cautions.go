// Package check judges a design: a table of rules over what was laid, folded
// and measured, of which each cause is told once, and cautions, short words on
// what the program cannot know about the use of a design. Measures in space come
// from the packages simulate and contact, those of the flat blank from linework;
// limits come from the design and its boards.
package check

import (
	"strings"
	"unicode"

	"github.com/creasewright/creasewright/runtime/model"
)

// MachineCaution goes with every set of cut files.
const MachineCaution = "Cutting: keep hands clear of the blade. A laser is never left running alone and never cuts PVC or vinyl. " +
	"The machine's manual and local rules come first."

// caution is said when any of the words stands in a design's title, piece,
// board or contents names, or the words about its parameters.
type caution struct {
	text  string
	words []string
}

// cautions is the table, in the order they are told. The words are singular;
// plurals in s and es are found too.
var cautions = []caution{
	{"Food: suitability for food contact not assessed; board, inks and glue are part of it.", []string{
		"food", "tea", "coffee", "honey", "jam", "cake", "biscuit", "cookie", "bread", "chocolate", "confectionery", "sweets",
		"candy", "sugar", "salt", "spice", "herb", "fruit", "vegetable", "egg", "cheese", "butter", "oil", "pasta", "rice",
		"nut", "snack", "sandwich", "pizza", "meal", "drink", "juice", "wine", "beer",
	}},
	{"Children: suitability as or near a toy not assessed, small parts, sharp edges and cords among it.", []string{
		"toy", "child", "children", "kid", "baby", "babies", "nursery", "doll", "puzzle", "game", "rattle",
	}},
	{"Medicine and chemicals: resistance to opening by children not assessed.", []string{
		"medicine", "pill", "tablet", "drug", "chemical", "cleaner", "detergent", "bleach", "poison", "pesticide", "nicotine",
	}},
	{"Dangerous goods: fitness for their transport not assessed; a design is no approval.", []string{
		"battery", "batteries", "lithium", "aerosol", "solvent", "fuel", "flammable", "explosive", "firework", "hazardous", "corrosive",
	}},
	{"Flame and heat: fire risk not assessed.", []string{
		"candle", "tealight", "lantern", "lamp", "lampshade", "heater", "incense", "matchbox", "matchstick", "fire", "flame",
	}},
	{"Magnets: risk when swallowed not assessed.", []string{"magnet", "magnetic"}},
}

// StrengthCaution is said when a design tells what its contents weigh.
const StrengthCaution = "Load: strength and stacking not assessed."

// Cautions lists what is to be said about a design, each once, the machine
// caution first; none for a design without pieces, which makes no cut files.
func Cautions(d *model.Design) []string {
	if len(d.Pieces) == 0 {
		return nil
	}
	out := []string{MachineCaution}
	said := wordsOf(d)
	for _, c := range cautions {
		if anyOf(said, c.words) {
			out = append(out, c.text)
		}
	}
	if carries(d) {
		out = append(out, StrengthCaution)
	}
	return out
}

// wordsOf is the set of words that tell what a design is for.
func wordsOf(d *model.Design) map[string]bool {
	said := map[string]bool{}
	tell := func(text string) {
		for _, w := range strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) }) {
			said[w] = true
		}
	}
	tell(d.Title)
	for _, p := range d.Params {
		tell(strings.ReplaceAll(p.Name, "_", " "))
		tell(p.Doc)
	}
	for _, p := range d.Pieces {
		tell(p.Name)
		tell(p.Board.Name)
	}
	for _, c := range d.Contents {
		tell(c.Name)
	}
	return said
}

// anyOf reports whether the script says one of some words.
func anyOf(said map[string]bool, words []string) bool {
	for _, w := range words {
		if said[w] || said[w+"s"] || said[w+"es"] {
			return true
		}
	}
	return false
}

// carries reports whether the mass of some product is given, so that the piece is to carry it.
func carries(d *model.Design) bool {
	for _, c := range d.Contents {
		if c.Mass != nil {
			return true
		}
	}
	return false
}
