package board

import "math"

// Limit is one number that designs are held to. A script sets it by its Name;
// left alone, it is what Default makes of the board.
type Limit uint8

// Every limit there is, in the order shown to people. To add one, name it here
// and describe it in limitFacts.
const (
	CreaseGap  Limit = iota // least distance between parallel creases that fold opposite ways
	EdgeGap                 // least distance of a crease from a cut edge beside it
	Web                     // least width of board between two cuts
	Joint                   // least length of hinge by which a part hangs on the rest
	SharpAbove              // caliper above which inside corners that carry load want a radius
	PlainAbove              // caliper above which a plain fold must not run across the grain
	ThickAbove              // caliper above which a fold past 90 degrees wants a double crease
	LongCrease              // length from which a crease counts as long when its lie to the grain is looked at
	Overhang                // how far a panel may reach past either end of its edge without overhang = True
	Hair                    // how much of an edge a flap may leave bare before that counts as meant
	Detail                  // least width of a window, a notch or a gap, and least length of a slit
	Tie                     // least length of a perforation's ties
	CutToTie                // how many times as long as its ties a perforation's cuts may be
	GlueTab                 // least depth of a tab that is glued
	SeamRelief              // least distance of a wall that ends at a glued seam from the tab's crease
	TuckPlay                // least room beside a tuck in its opening, both sides together
	TuckLoose               // most room beside a tuck in its opening, both sides together
	FlapGap                 // least distance between dust flaps that face each other
	LidOver                 // how far a lid may reach over the walls it closes, or its tuck into the wall before it
	SlotLoose               // how much wider than the board that passes through it a slot may be
	Heavy                   // mass of contents above which the checks say that strength is not assessed
	limitCount
)

// practice is the source of most defaults: what is usual in the trade, written
// down nowhere that could be cited.
const practice = "common practice, no source"

// limitFacts is what is to be known about each limit.
var limitFacts = [limitCount]struct {
	name     string               // as scripts write it
	unit     string               // what the number means
	doc      string               // what it limits, a noun phrase
	says     string               // the default, in words
	source   string               // where the default comes from
	standard func(*Board) float64 // the default, never negative
}{
	// CreaseGap keeps two creasing channels apart. The channel's width is a
	// matrix supplier's rule (en.haoyucn.net, "1.5 times the caliper plus the
	// rule's width"); the two calipers beside it are common practice, no source.
	CreaseGap: {
		name: "crease_gap", unit: "mm", doc: "least distance between parallel creases that fold opposite ways",
		says:   "the width of the creasing channel and two calipers; two calipers for corrugated",
		source: "channel width: a matrix supplier's rule; the rest: " + practice,
		standard: func(b *Board) float64 {
			if b.Kind == Corrugated {
				return 2 * b.Caliper
			}
			return b.ChannelWidth() + 2*b.Caliper
		},
	},

	// EdgeGap keeps a crease's channel on the board, and the board beside it
	// from tearing off. Common practice, no source.
	EdgeGap: {
		name: "edge_gap", unit: "mm", doc: "least distance of a crease from a cut edge beside it",
		says: "3 mm; 1 mm for paper and for stock up to 0.2 mm, one and a half calipers for corrugated", source: practice, standard: leastWeb,
	},

	// Web is the least board between two cuts. Common practice, no source.
	Web: {
		name: "web", unit: "mm", doc: "least width of board between two cuts",
		says: "3 mm; 1 mm for paper and for stock up to 0.2 mm, one and a half calipers for corrugated", source: practice, standard: leastWeb,
	},

	// Joint is the least board by which a part hangs on the rest. Common
	// practice, no source.
	Joint: {
		name: "joint", unit: "mm", doc: "least length of hinge by which a part hangs on the rest",
		says: "3 mm; 1 mm for paper and for stock up to 0.2 mm, one and a half calipers for corrugated", source: practice, standard: leastWeb,
	},

	// SharpAbove is the caliper above which board tears from a sharp inside
	// corner rather than bends. Common practice, no source.
	SharpAbove: {
		name: "sharp_above", unit: "mm", doc: "caliper above which inside corners that carry load want a radius",
		says: "0.5 mm", source: practice, standard: always(0.5),
	},

	// PlainAbove is the caliper above which board cracks where it is folded by
	// hand across the grain. Common practice, no source.
	PlainAbove: {
		name: "plain_above", unit: "mm", doc: "caliper above which a plain fold must not run across the grain",
		says: "0.3 mm; 0 for coated board", source: practice,
		standard: func(b *Board) float64 {
			if b.Kind == Coated {
				return 0
			}
			return 0.3
		},
	},

	// ThickAbove is the caliper above which one crease does not fold past a
	// right angle. That thick board wants more than one crease is a board
	// maker's advice (holmen.com, "Paperboard creasing and folding"); the number
	// is common practice, no source.
	ThickAbove: {
		name: "thick_above", unit: "mm", doc: "caliper above which a fold past 90 degrees wants a double crease",
		says: "1 mm", source: "that it is needed: a board maker's advice; the number: " + practice, standard: always(1),
	},

	// LongCrease is how long a crease is before its lie to the grain matters.
	// Common practice, no source.
	LongCrease: {
		name: "long_crease", unit: "mm", doc: "length from which a crease counts as long when its lie to the grain is looked at",
		says: "100 mm", source: practice, standard: always(100),
	},

	// Overhang is how far a panel may reach past its edge unasked: steps of up
	// to three calipers are ordinary. Common practice, no source.
	Overhang: {
		name: "overhang", unit: "mm", doc: "how far a panel may reach past either end of its edge without overhang = True",
		says: "three calipers, and 0.5 mm at least", source: practice,
		standard: func(b *Board) float64 { return math.Max(3*b.Caliper, 0.5) },
	},

	// Hair is a step too small to be meant: half of what the finest cutters
	// repeat. Common practice, no source.
	Hair: {
		name: "hair", unit: "mm", doc: "how much of an edge a flap may leave bare before that counts as meant",
		says: "0.05 mm", source: practice, standard: always(0.05),
	},

	// Detail is the finest opening a tool makes: a laser's kerf or a knife's tip
	// is 0.1 to 0.25 mm wide. Common practice, no source.
	Detail: {
		name: "detail", unit: "mm", doc: "least width of a window, a notch or a gap, and least length of a slit",
		says: "what the machine makes, 0.2 mm without one", source: practice, standard: always(0.2),
	},

	// Tie is the least board left between two cuts of a perforation: as nicks
	// are, 0.3 mm in card and 1 mm in corrugated. Common practice, no source.
	Tie: {
		name: "tie", unit: "mm", doc: "least length of a perforation's ties",
		says: "0.3 mm; 1 mm for corrugated", source: practice,
		standard: func(b *Board) float64 {
			if b.Kind == Corrugated {
				return 1
			}
			return 0.3
		},
	},

	// CutToTie is how much a perforation may cut for what it leaves; 3 to 1 is
	// usual, and twice that hangs by a thread. Common practice, no source.
	CutToTie: {
		name: "cut_to_tie", unit: "a plain number", doc: "how many times as long as its ties a perforation's cuts may be",
		says: "6", source: practice, standard: always(6),
	},

	// GlueTab is the least depth of a tab that is glued: 12 to 16 mm in cartons,
	// 8 to 10 in small ones, 5 in paper (common practice, no source); 30 to 35
	// in corrugated, which case makers advise (konetool.com, "corrugated box
	// knowledge").
	GlueTab: {
		name: "glue_tab", unit: "mm", doc: "least depth of a tab that is glued",
		says:   "12 mm, on small pieces a twentieth of their longer side but 8 mm at least; 5 mm for paper, 30 mm for corrugated",
		source: "30 mm: case makers' advice; the rest: " + practice,
		standard: func(b *Board) float64 {
			switch b.Kind {
			case Paper:
				return 5
			case Corrugated:
				return 30
			}
			return 12
		},
	},

	// SeamRelief keeps a wall that ends at a glued seam off the crease of the
	// tab; 0.5 to 1 mm is usual. Common practice, no source.
	SeamRelief: {
		name: "seam_relief", unit: "mm", doc: "least distance of a wall that ends at a glued seam from the tab's crease",
		says: "0.3 mm; 0 for paper", source: practice,
		standard: func(b *Board) float64 {
			if b.Kind == Paper {
				return 0
			}
			return 0.3
		},
	},

	// TuckPlay is the least room beside a tuck, both sides together; 0.5 mm and
	// a caliper are usual. Common practice, no source.
	TuckPlay: {
		name: "tuck_play", unit: "mm", doc: "least room beside a tuck in its opening, both sides together",
		says: "0.2 mm", source: practice, standard: always(0.2),
	},

	// TuckLoose is the most room beside a tuck that still guides it; walls that
	// are rolled over take a few calipers on either side. Common practice, no
	// source.
	TuckLoose: {
		name: "tuck_loose", unit: "mm", doc: "most room beside a tuck in its opening, both sides together",
		says: "6 mm and four calipers", source: practice,
		standard: func(b *Board) float64 { return 6 + 4*b.Caliper },
	},

	// FlapGap keeps dust flaps from meeting; half the way across less 1 mm is
	// usual for each. Common practice, no source.
	FlapGap: {
		name: "flap_gap", unit: "mm", doc: "least distance between dust flaps that face each other",
		says: "1 mm", source: practice, standard: always(1),
	},

	// LidOver is how far a lid may be too large: a caliper is lost on thin
	// board. Common practice, no source.
	LidOver: {
		name: "lid_over", unit: "mm", doc: "how far a lid may reach over the walls it closes, or its tuck into the wall before it",
		says: "0.5 mm", source: practice, standard: always(0.5),
	},

	// SlotLoose is how much wider than its board a slot may be; 0.3 to 0.5 mm is
	// usual in card and 0.5 to 1 mm in corrugated. Common practice, no source.
	SlotLoose: {
		name: "slot_loose", unit: "mm", doc: "how much wider than the board that passes through it a slot may be",
		says: "3 mm; 5 mm for corrugated", source: practice,
		standard: func(b *Board) float64 {
			if b.Kind == Corrugated {
				return 5
			}
			return 3
		},
	},

	// Heavy is the mass beyond which to say that nobody looked at strength. It
	// says nothing about what a piece can carry. Common practice, no source.
	Heavy: {
		name: "heavy", unit: "grams", doc: "mass of contents above which the checks say that strength is not assessed",
		says: "500 g; 50 g for paper, 5000 g for corrugated", source: practice,
		standard: func(b *Board) float64 {
			switch b.Kind {
			case Paper:
				return 50
			case Corrugated:
				return 5000
			}
			return 500
		},
	},
}

// Limits lists every limit, in the order shown to people.
func Limits() []Limit {
	all := make([]Limit, limitCount)
	for i := range all {
		all[i] = Limit(i)
	}
	return all
}

// Name is what scripts call the limit.
func (l Limit) Name() string { return limitFacts[l].name }

// Unit says what the number means: "mm", "grams" or "a plain number".
func (l Limit) Unit() string { return limitFacts[l].unit }

// Doc says what is limited, in a noun phrase.
func (l Limit) Doc() string { return limitFacts[l].doc }

// Says is the default in words.
func (l Limit) Says() string { return limitFacts[l].says }

// Source says where the default comes from; cited is false for one that rests
// on common practice alone.
func (l Limit) Source() (source string, cited bool) {
	source = limitFacts[l].source
	return source, source != practice
}

// Default is the limit that a board is held to unless a script sets another;
// it is never negative.
func (l Limit) Default(b *Board) float64 { return limitFacts[l].standard(b) }

// always is a default that no board changes.
func always(v float64) func(*Board) float64 { return func(*Board) float64 { return v } }

// leastWeb is the least board that holds beside a cut. Common practice, no
// source.
func leastWeb(b *Board) float64 {
	switch {
	case b.Kind == Corrugated:
		return 1.5 * b.Caliper
	case b.Kind == Paper || b.Caliper <= thinStock:
		return 1
	}
	return 3
}

// thinStock is the caliper in mm up to which stock is worked like paper,
// whatever it is called.
const thinStock = 0.2

// A creasing rule is two points of 1/72 inch wide for calipers up to 0.5 mm and
// three to four above (a matrix maker's advice, shreinerco.com FAQ); three is
// taken there, so as not to ask for too much.
const (
	twoPoint   = 2 * 25.4 / 72
	threePoint = 3 * 25.4 / 72
	thinBoard  = 0.5
)

// ChannelWidth is the width in mm of the channel that the board is creased
// into, W = 1.5·c + d with d the width of the rule: a matrix supplier's rule for
// creases across the grain (en.haoyucn.net), used for all.
func (b *Board) ChannelWidth() float64 {
	rule := twoPoint
	if b.Caliper > thinBoard {
		rule = threePoint
	}
	return 1.5*b.Caliper + rule
}
