package board

import "math"

// Limit is one number that designs are held to. A script sets it by its Name;
// left alone, it is what Default makes of the board. Limits are told apart by
// their address.
type Limit struct {
	Name    string               // as scripts write it
	Unit    string               // what the number means
	Doc     string               // what it limits, a noun phrase
	Says    string               // the default, in words
	Source  string               // where the default comes from
	Default func(*Board) float64 // never negative
}

// Practice is the source of most defaults: what is usual in the trade, written
// down nowhere that could be cited.
const Practice = "common practice, no source"

// Every limit there is. To add one, write it here and name it in Limits.
var (
	// CreaseGap keeps two creasing channels apart. The channel's width is a
	// matrix supplier's rule (en.haoyucn.net, "1.5 times the caliper plus the
	// rule's width"); the two calipers beside it are common practice, no source.
	CreaseGap = &Limit{
		Name: "crease_gap", Unit: "mm", Doc: "least distance between parallel creases that fold opposite ways",
		Says:   "the width of the creasing channel and two calipers; two calipers for corrugated",
		Source: "channel width: a matrix supplier's rule; the rest: " + Practice,
		Default: func(b *Board) float64 {
			if b.Kind == Corrugated {
				return 2 * b.Caliper
			}
			return b.ChannelWidth() + 2*b.Caliper
		},
	}

	// EdgeGap keeps a crease's channel on the board, and the board beside it
	// from tearing off. Common practice, no source.
	EdgeGap = &Limit{
		Name: "edge_gap", Unit: "mm", Doc: "least distance of a crease from a cut edge beside it",
		Says: "3 mm; 1 mm for paper and for stock up to 0.2 mm, one and a half calipers for corrugated", Source: Practice, Default: leastWeb,
	}

	// Web is the least board between two cuts. Common practice, no source.
	Web = &Limit{
		Name: "web", Unit: "mm", Doc: "least width of board between two cuts",
		Says: "3 mm; 1 mm for paper and for stock up to 0.2 mm, one and a half calipers for corrugated", Source: Practice, Default: leastWeb,
	}

	// Joint is the least board by which a part hangs on the rest. Common
	// practice, no source.
	Joint = &Limit{
		Name: "joint", Unit: "mm", Doc: "least length of hinge by which a part hangs on the rest",
		Says: "3 mm; 1 mm for paper and for stock up to 0.2 mm, one and a half calipers for corrugated", Source: Practice, Default: leastWeb,
	}

	// SharpAbove is the caliper above which board tears from a sharp inside
	// corner rather than bends. Common practice, no source.
	SharpAbove = &Limit{
		Name: "sharp_above", Unit: "mm", Doc: "caliper above which inside corners that carry load want a radius",
		Says: "0.5 mm", Source: Practice, Default: always(0.5),
	}

	// PlainAbove is the caliper above which board cracks where it is folded by
	// hand across the grain. Common practice, no source.
	PlainAbove = &Limit{
		Name: "plain_above", Unit: "mm", Doc: "caliper above which a plain fold must not run across the grain",
		Says: "0.3 mm; 0 for coated board", Source: Practice,
		Default: func(b *Board) float64 {
			if b.Kind == Coated {
				return 0
			}
			return 0.3
		},
	}

	// ThickAbove is the caliper above which one crease does not fold past a
	// right angle. That thick board wants more than one crease is a board
	// maker's advice (holmen.com, "Paperboard creasing and folding"); the number
	// is common practice, no source.
	ThickAbove = &Limit{
		Name: "thick_above", Unit: "mm", Doc: "caliper above which a fold past 90 degrees wants a double crease",
		Says: "1 mm", Source: "that it is needed: a board maker's advice; the number: " + Practice, Default: always(1),
	}

	// LongCrease is how long a crease is before its lie to the grain matters.
	// Common practice, no source.
	LongCrease = &Limit{
		Name: "long_crease", Unit: "mm", Doc: "length from which a crease counts as long when its lie to the grain is looked at",
		Says: "100 mm", Source: Practice, Default: always(100),
	}

	// Overhang is how far a panel may reach past its edge unasked: steps of up
	// to three calipers are ordinary. Common practice, no source.
	Overhang = &Limit{
		Name: "overhang", Unit: "mm", Doc: "how far a panel may reach past either end of its edge without overhang = True",
		Says: "three calipers, and 0.5 mm at least", Source: Practice,
		Default: func(b *Board) float64 { return math.Max(3*b.Caliper, 0.5) },
	}

	// Hair is a step too small to be meant: half of what the finest cutters
	// repeat. Common practice, no source.
	Hair = &Limit{
		Name: "hair", Unit: "mm", Doc: "how much of an edge a flap may leave bare before that counts as meant",
		Says: "0.05 mm", Source: Practice, Default: always(0.05),
	}

	// Detail is the finest opening a tool makes: a laser's kerf or a knife's tip
	// is 0.1 to 0.25 mm wide. Common practice, no source.
	Detail = &Limit{
		Name: "detail", Unit: "mm", Doc: "least width of a window, a notch or a gap, and least length of a slit",
		Says: "what the machine makes, 0.2 mm without one", Source: Practice, Default: always(0.2),
	}

	// Tie is the least board left between two cuts of a perforation: as nicks
	// are, 0.3 mm in card and 1 mm in corrugated. Common practice, no source.
	Tie = &Limit{
		Name: "tie", Unit: "mm", Doc: "least length of a perforation's ties",
		Says: "0.3 mm; 1 mm for corrugated", Source: Practice,
		Default: func(b *Board) float64 {
			if b.Kind == Corrugated {
				return 1
			}
			return 0.3
		},
	}

	// CutToTie is how much a perforation may cut for what it leaves; 3 to 1 is
	// usual, and twice that hangs by a thread. Common practice, no source.
	CutToTie = &Limit{
		Name: "cut_to_tie", Unit: "a plain number", Doc: "how many times as long as its ties a perforation's cuts may be",
		Says: "6", Source: Practice, Default: always(6),
	}
)

// Limits lists every limit, in the order shown to people.
var Limits = []*Limit{
	CreaseGap, EdgeGap, Web, Joint, SharpAbove, PlainAbove, ThickAbove, LongCrease,
	Overhang, Hair, Detail, Tie, CutToTie,
	GlueTab, SeamRelief, TuckPlay, TuckLoose, FlapGap, LidOver, SlotLoose, Heavy,
}

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
