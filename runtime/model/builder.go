package model

import (
	"maps"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/diag"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/limit"
	"github.com/creasewright/creasewright/runtime/source"
)

// Builder makes a Design call by call and refuses what a designer may not
// mean. Every method takes the site of the call that asked, and every error it
// returns is a *diag.Finding of rule "script" that carries it. Sizes are
// millimetres and angles degrees. A method that fails leaves the design as it
// was. Finish spends the builder: whatever is asked of it later is an error. It
// keeps copies of the slices, maps and pointed-to numbers that it is handed, so
// the caller may go on using them. A Builder is for one goroutine.
type Builder struct {
	spent     bool
	design    Design
	overrides map[string]string
	closed    func(*Piece) ([]Placement, error) // nil until CloseBy
	ended     func() error                      // likewise
	limits    limit.Set                         // the zero Set for the defaults
	edges     int                               // of all outlines and paths so far

	params   map[string]source.Site
	panels   map[string]*Panel
	hinges   map[string]*Hinge
	poses    map[string]*Pose
	held     map[edgeKey][]held           // what hangs on each edge so far
	roots    []*Panel                     // each panel's root, by Panel.Index
	claims   map[*Panel]*Piece            // by root
	boards   map[*board.Board]source.Site // where each was made
	titles   map[string]*Piece            // by name with case folded
	contents map[string]*Contents
	frees    map[*Free]*Free // the design's own, by those handed in and by themselves
}

// NewBuilder starts an empty design. Overrides are parameter values from
// outside, as text, by parameter name.
func NewBuilder(overrides map[string]string) *Builder {
	flat := &Pose{Name: PoseFlat}
	closed := &Pose{Name: PoseClosed, At: 1, Glued: true}
	return &Builder{
		design:    Design{Poses: []*Pose{flat, closed}},
		overrides: maps.Clone(overrides),
		params:    map[string]source.Site{},
		panels:    map[string]*Panel{},
		hinges:    map[string]*Hinge{},
		poses:     map[string]*Pose{PoseFlat: flat, PoseClosed: closed},
		held:      map[edgeKey][]held{},
		claims:    map[*Panel]*Piece{},
		boards:    map[*board.Board]source.Site{},
		titles:    map[string]*Piece{},
		contents:  map[string]*Contents{},
		frees:     map[*Free]*Free{},
	}
}

// Title sets the design's title.
func (b *Builder) Title(site source.Site, text string) error {
	c := b.call(site, "title")
	if c.ok() {
		b.design.Title = text
	}
	return c.err()
}

// Finish checks what only the whole script can tell, hands each piece its
// panels, hinges and joins, cuts the panels that lie over cuts meant to go
// through them, and gives the design. The builder is spent, with an
// error too. Trees that no piece claims are no error: see Design.Unclaimed.
func (b *Builder) Finish() (*Design, error) {
	if c := b.call(nil, "finish"); !c.ok() {
		return nil, c.err()
	}
	b.spent = true
	d := &b.design
	for _, p := range d.Poses {
		if p.Order == nil {
			p.Order = b.poses[PoseClosed].Order
		}
		if p.StandsOn == nil {
			p.StandsOn, p.Foot = b.poses[PoseClosed].StandsOn, b.poses[PoseClosed].Foot
		}
	}
	if len(d.Pieces) == 0 {
		f := diag.Scriptf(nil, "the script makes no piece").WithHint(`end it with piece("name", root, board = …)`)
		f.Cause = diag.MakesNothing
		return nil, f
	}
	if err := b.unknownOverride(); err != nil {
		return nil, err
	}
	for _, p := range d.Panels {
		if piece := b.claims[b.roots[p.Index]]; piece != nil {
			p.Piece = piece
			piece.Panels = append(piece.Panels, p)
		}
	}
	for _, h := range d.Hinges {
		if piece := h.Parent.Piece; piece != nil {
			piece.Hinges = append(piece.Hinges, h)
		}
	}
	for _, j := range d.Joins {
		if piece := j.A.Panel.Piece; piece != nil {
			piece.Joins = append(piece.Joins, j)
		}
	}
	if err := b.cutThrough(); err != nil {
		return nil, err
	}
	return d, nil
}

// Unclaimed lists the roots of the trees that no piece claims, in order of
// making: panels that were drawn and will not be made.
func (d *Design) Unclaimed() []*Panel {
	var roots []*Panel
	for _, p := range d.Panels {
		if p.Piece == nil && p.Hang == nil {
			roots = append(roots, p)
		}
	}
	return roots
}

// root is the root of the panel's tree.
func (b *Builder) root(p *Panel) *Panel { return b.roots[p.Index] }

// owns asks for a panel that this builder made.
func (c *call) owns(b *Builder, name string, p *Panel) {
	switch {
	case p == nil:
		c.failf("%s is missing", name)
	case p.Index >= len(b.design.Panels) || b.design.Panels[p.Index] != p:
		c.failf("%s, panel %q, belongs to another design", name, p.Name)
	}
}

// sameTree asks that two panels hang in one tree: nothing joins one piece to
// another.
func (c *call) sameTree(b *Builder, p, q *Panel) {
	if !c.ok() {
		return
	}
	if r, s := b.root(p), b.root(q); r != s {
		relate(c.failf("panel %q hangs in the tree of %q and panel %q in that of %q, and nothing joins two pieces",
			p.Name, r.Name, q.Name, s.Name), q.Site, "the other panel")
	}
}

// relate adds another place to a finding and returns it.
func relate(f *diag.Finding, at source.Site, message string) *diag.Finding {
	if span := at.First(); span.Known() {
		f.Related = append(f.Related, diag.Related{Span: span, Message: message})
	}
	return f
}

// Limit sets the bounds on panels and edges; without it they are the defaults.
func (b *Builder) Limit(s limit.Set) error {
	c := b.call(nil, "limit")
	if c.ok() {
		b.limits = s.OrDefaults()
	}
	return c.err()
}

// roomForPanel asks that one more panel is within bounds.
func (c *call) roomForPanel(b *Builder) {
	if s := b.limits.OrDefaults(); int64(len(b.design.Panels)) >= s[limit.Panels] {
		c.failf("the design has more than %s panels", s.Amount(limit.Panels)).WithHint("%s", s.Raise(limit.Panels))
	}
}

// takeEdges asks that the edges of one more outline or path, or of several
// copies of it, are within bounds and, when all else is well, counts them.
func (c *call) takeEdges(b *Builder, p geom.Path, copies int) {
	s := b.limits.OrDefaults()
	total := b.edges + len(p.Edges)*copies
	if int64(total) > s[limit.Edges] {
		c.failf("the design's outlines and paths have more than %s edges", s.Amount(limit.Edges)).
			WithHint("%s", s.Raise(limit.Edges))
	}
	if c.ok() {
		b.edges = total
	}
}

// Limits on what one design may hold.
const (
	// MaxName is the longest name of a panel, a hinge, a pose or the like, in
	// characters: some ten times what a picture has room for.
	MaxName = 200

	// MaxPieceName is the contract's: piece names make file names, and 60
	// characters of four bytes still fit every file system with their suffix.
	MaxPieceName = 60

	// MaxText is the longest reason, message or other sentence, in characters.
	MaxText = 4000

	// MaxCopies is the most copies of one piece; more is a slip of the hand.
	MaxCopies = 1_000_000
)
