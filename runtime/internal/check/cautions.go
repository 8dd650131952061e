// Package check judges a design: a table of rules over what was laid, folded
// and measured, of which each cause is told once, and cautions, short words on
// what the program cannot know about the use of a design. Measures in space come
// from the packages simulate and contact, those of the flat blank from linework;
// limits come from the design and its boards.
package check

import (
	"slices"
	"strings"
	"unicode"

	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/model"
)

// MachineCaution goes with every set of cut files.
const MachineCaution = "Cutting: keep hands clear of the blade. A laser is never left running alone and never cuts PVC or vinyl. " +
	"The machine's manual and local rules come first."

// caution is told when it is asked for by its kind, or when any of the words stands in
// a design's title, piece, board or contents names, or the words about its parameters.
type caution struct {
	kind, text string
	words      []string
}

// StrengthCaution is told when a design tells what its contents weigh, or has a
// panel to carry or hang it by.
const StrengthCaution = "Load: strength and stacking not assessed."

// carriedBy are words for what a pack is carried or hung by; panels' names count too.
var carriedBy = []string{
	"handle", "carrier", "hanger", "strap", "tote", "griff", "tragegriff", "henkel", "träger", "poignée", "anse", "asa", "manico",
	"manici", "maniglia", "handvat", "handgreep", "alça",
}

// cautions is the table, in the order of model.CautionKinds. The words are singular;
// plurals in s, es, e, n and en are found too, others are listed. Words that are common
// ones in another of the languages, such as "pain" and "gift", are left out.
var cautions = []caution{
	{"food", "Food: suitability for food contact not assessed; board, inks and glue are part of it.", []string{
		"food", "tea", "coffee", "honey", "jam", "cake", "biscuit", "cookie", "bread", "chocolate", "confectionery", "sweets",
		"candy", "sugar", "salt", "spice", "herb", "fruit", "vegetable", "egg", "cheese", "butter", "oil", "pasta", "rice",
		"nut", "snack", "sandwich", "pizza", "meal", "drink", "juice", "wine", "beer", "bun", "burger", "fries", "popcorn", "praline", "truffle",
		"muffin", "cupcake", "macaron", "pastry", "pastries", "doughnut", "donut", "cereal", "flour", "yoghurt", "yogurt", "milk", "water",
		"lebensmittel", "tee", "kaffee", "honig", "marmelade", "kuchen", "torte", "keks", "kekse", "plätzchen", "brot", "brötchen",
		"schokolade", "pralinen", "süßigkeit", "bonbon", "zucker", "salz", "gewürz", "kräuter", "obst", "gemüse", "eier", "käse", "öl",
		"nudel", "reis", "nuss", "nüsse", "imbiss", "getränk", "saft", "wein", "bier", "milch", "mehl",
		"aliment", "thé", "café", "miel", "confiture", "gâteau", "gâteaux", "chocolat", "sucre", "épice", "œuf", "oeuf", "fromage",
		"beurre", "huile", "pâtes", "riz", "boisson", "jus", "vin", "bière", "lait", "légume", "dragée",
		"alimento", "té", "mermelada", "pastel", "galleta", "azúcar", "especia", "fruta", "verdura", "huevo", "queso", "mantequilla",
		"aceite", "arroz", "bebida", "zumo", "vino", "cerveza", "caramelo", "bombón", "bombones", "turrón",
		"cibo", "tè", "caffè", "miele", "marmellata", "torta", "torte", "biscotto", "biscotti", "cioccolato", "cioccolatini", "zucchero",
		"spezie", "frutta", "uova", "formaggio", "burro", "olio", "riso", "succo", "birra", "caramelle", "dolci", "panettone",
		"voedsel", "thee", "koffie", "honing", "koek", "koekje", "taart", "gebak", "brood", "chocola", "snoep", "suiker", "zout",
		"kruiden", "groente", "eieren", "kaas", "boter", "olie", "rijst", "noten", "drank", "wijn", "melk",
		"chá", "mel", "bolo", "bolacha", "açúcar", "ovo", "queijo", "manteiga", "azeite", "vinho", "cerveja", "doces",
	}},
	{"children", "Children: suitability as or near a toy not assessed, small parts, sharp edges and cords among it.", []string{
		"toy", "child", "children", "kid", "baby", "babies", "nursery", "doll", "puzzle", "game", "rattle", "teddy",
		"kinder", "kindern", "spiel", "spielzeug", "puppe", "rassel", "enfant", "bébé", "jouet", "jeu", "jeux", "poupée",
		"niño", "niña", "bebé", "juguete", "juego", "muñeca", "bambino", "bambini", "giocattolo", "giocattoli", "gioco", "giochi", "bambola",
		"kinderen", "speelgoed", "spel", "criança", "brinquedo", "jogo", "boneca",
	}},
	{"medicine", "Medicine and chemicals: resistance to opening by children not assessed.", []string{
		"medicine", "pill", "tablet", "drug", "chemical", "cleaner", "detergent", "bleach", "poison", "pesticide", "nicotine",
		"medikament", "arznei", "arzneimittel", "tablette", "chemikalie", "reiniger", "bleiche", "médicament", "comprimé", "javel",
		"medicamento", "medicina", "pastilla", "lejía", "medicinale", "farmaco", "farmaci", "compressa", "compresse", "candeggina",
		"medicijn", "geneesmiddel", "bleekmiddel", "remédio", "comprimido",
	}},
	{"transport", "Dangerous goods: fitness for their transport not assessed; a design is no approval.", []string{
		"battery", "batteries", "lithium", "aerosol", "solvent", "fuel", "flammable", "explosive", "firework", "hazardous", "corrosive",
		"batterie", "akku", "akkus", "gefahrgut", "lösungsmittel", "spraydose", "feuerwerk", "solvant", "aérosol", "batería", "disolvente",
		"batteria", "solvente", "accumulatore", "batterij", "oplosmiddel", "vuurwerk", "bateria",
	}},
	{"flame", "Flame and heat: fire risk not assessed.", []string{
		"candle", "tealight", "lantern", "lamp", "lampshade", "heater", "incense", "matchbox", "matchstick", "fire", "flame",
		"kerze", "teelicht", "teelichter", "laterne", "lampenschirm", "streichholz", "streichhölzer", "bougie", "lanterne", "lampe", "allumette", "encens",
		"vela", "linterna", "farol", "faroles", "lámpara", "cerilla", "incienso", "candela", "lanterna", "lampada", "fiammifero", "fiammiferi", "incenso",
		"kaars", "kaarsen", "lantaarn", "lucifers", "wierook", "lâmpada", "fósforo",
	}},
	{"magnets", "Magnets: risk when swallowed not assessed.", []string{
		"magnet", "magnetic", "magnetisch", "aimant", "imán", "imanes", "calamita", "calamite", "magnete", "magneti", "magneet", "magneten", "ímã",
	}},
	{"load", StrengthCaution, carriedBy},
}

// cautionRule is the prefix under which allow() names a caution.
const cautionRule = "caution-"

// cautionRules are the names by which allow() waives guessed cautions.
func cautionRules() []string {
	out := model.CautionKinds()
	for i := range out {
		out[i] = cautionRule + out[i]
	}
	return out
}

// Cautions lists what is to be said about a design, each once, the machine caution
// first; none for a design without pieces, which makes no cut files. A caution is told
// if it is asked for, or guessed and not waived; waived are those that are not told,
// with the reasons.
func Cautions(d *model.Design) (texts []string, waived []diag.Waived) {
	if len(d.Pieces) == 0 {
		return nil, nil
	}
	texts = []string{MachineCaution}
	asked, said, carries := askedFor(d), wordsOf(d), carries(d)
	for _, c := range cautions {
		guessed := anyOf(said, c.words) || c.kind == "load" && carries
		if !asked[c.kind] && !guessed {
			continue
		}
		i := slices.IndexFunc(d.Waivers, func(w *model.Waiver) bool { return w.Rule == cautionRule+c.kind })
		if asked[c.kind] || i < 0 {
			texts = append(texts, c.text)
			continue
		}
		w := d.Waivers[i]
		waived = append(waived, diag.Waived{
			Finding: &diag.Finding{Rule: w.Rule, Severity: diag.Note, Message: c.text, Site: w.Site}, Reason: w.Reason,
		})
	}
	return texts, waived
}

// askedFor is the set of kinds that pieces and contents name.
func askedFor(d *model.Design) map[string]bool {
	asked := map[string]bool{}
	ask := func(kinds []string) {
		for _, k := range kinds {
			asked[k] = true
		}
	}
	for _, p := range d.Pieces {
		ask(p.Cautions)
	}
	for _, c := range d.Contents {
		ask(c.Cautions)
	}
	return asked
}

// wordsOf is the set of words that tell what a design is for.
func wordsOf(d *model.Design) map[string]bool {
	said := map[string]bool{}
	tell := func(text string) {
		for _, w := range wordsIn(text) {
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
		for _, ending := range []string{"", "s", "es", "e", "n", "en"} {
			if said[w+ending] {
				return true
			}
		}
	}
	return false
}

// carries reports whether a piece is to carry something: the mass of some product is
// given, or a panel is named after what it is carried by.
func carries(d *model.Design) bool {
	for _, c := range d.Contents {
		if c.Mass != nil {
			return true
		}
	}
	panels := map[string]bool{}
	for _, p := range d.Panels {
		for _, w := range wordsIn(p.Name) {
			panels[w] = true
		}
	}
	return anyOf(panels, carriedBy)
}

// wordsIn are the runs of letters of a text, in small letters.
func wordsIn(text string) []string {
	return strings.FieldsFunc(strings.ToLower(text), func(r rune) bool { return !unicode.IsLetter(r) })
}
