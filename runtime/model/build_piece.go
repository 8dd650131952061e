package model

import (
	"errors"
	"fmt"
	"maps"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/creasewright/creasewright/runtime/board"
	"github.com/creasewright/creasewright/runtime/geom"
	"github.com/creasewright/creasewright/runtime/source"
)

// BoardSpec asks for a board. GSM and GrainDegrees are nil when not given; an empty
// Kind is card.
type BoardSpec struct {
	Name         string
	Caliper      float64
	GSM          *float64
	GrainDegrees *geom.Degrees
	Kind         string
}

// Board makes a stock.
func (b *Builder) Board(site source.Site, s BoardSpec) (*board.Board, error) {
	c := b.named(site, "board", s.Name)
	c.name(s.Name)
	made, err := board.New(board.Board{
		Name: s.Name, Kind: board.Kind(s.Kind), Caliper: s.Caliper, GSM: s.GSM, GrainDegrees: s.GrainDegrees,
	})
	if err != nil {
		f := c.failf("%v", err)
		switch {
		case !(s.Caliper >= geom.MinSize && s.Caliper <= geom.MaxSize):
			f.WithHint("%s", SizeHint(s.Caliper))
		case s.GSM != nil && !(*s.GSM > 0):
			f.WithHint("give the grams to the square metre, or leave gsm out")
		}
		if errors.Is(err, board.ErrKind) {
			f.WithHint("write one of these, in quotes")
			if kind, ok := Nearest(s.Kind, board.KindNames()); ok {
				f.WithHint("did you mean %q?", kind)
			}
		}
	}
	if c.ok() {
		b.boards[made] = site
	}
	return made, c.err()
}

// PieceSpec asks for a blank to be made.
type PieceSpec struct {
	Name   string
	Root   *Panel
	Board  *board.Board
	Copies int    // 1 and more
	View   string // "outside", or "inside" to mirror the cut files; "" for outside
	// Cautions are the kinds of caution asked for, of CautionKinds.
	Cautions []string
	// Bleed is how far print runs on over the cut, in mm: 0 to MaxBleed.
	Bleed float64
}

// StandardBleed is the bleed of a piece where nothing else is said, in mm (common
// practice, no source).
const StandardBleed = 3

// MaxBleed is the largest bleed, in mm: more is a slip of the hand.
const MaxBleed = 50

// Piece claims the tree of panels under Root, those still to be hung there
// included. Its lists of panels, hinges and joins are filled by Finish.
func (b *Builder) Piece(site source.Site, s PieceSpec) (*Piece, error) {
	c := b.named(site, "piece", s.Name)
	c.pieceName(s.Name)
	switch first := b.titles[FileKey(s.Name)]; {
	case first == nil:
	case first.Name == s.Name:
		relate(c.failf("there is a piece of that name already"), first.Site, "the other piece").
			WithHint("one piece takes in all that hangs on its root; another blank needs a name of its own")
	default:
		relate(c.failf("piece %q would have the same file names", first.Name), first.Site, "the other piece")
	}
	c.claimable(b, s.Root)
	if s.Board == nil {
		c.failf("it has no board").WithHint("make one with board(…) and pass it as board = …")
	}
	if s.Copies < 1 || s.Copies > MaxCopies {
		c.failf("copies = %d is not between 1 and %d", s.Copies, MaxCopies).WithHint("leave it out for one")
	}
	if s.View != "" {
		c.oneOf("view", s.View, "outside", "inside")
	}
	c.cautions(s.Cautions)
	between(c, "bleed", s.Bleed, 0, MaxBleed)
	if !c.ok() {
		return nil, c.err()
	}
	p := &Piece{
		Name: s.Name, Root: s.Root, Board: s.Board, Copies: s.Copies,
		Inside: s.View == "inside", Cautions: slices.Clone(s.Cautions), Bleed: s.Bleed, Site: site,
		BoardSite: b.boards[s.Board],
	}
	b.claims[s.Root], b.titles[FileKey(s.Name)] = p, p
	b.design.Pieces = append(b.design.Pieces, p)
	return p, nil
}

// claimable asks for the root of a tree that no piece has yet.
func (c *call) claimable(b *Builder, root *Panel) {
	if c.owns(b, "root", root); !c.ok() {
		return
	}
	if h := root.Hang; h != nil {
		relate(c.failf("panel %q hangs on %s, and a piece begins with a panel that hangs on nothing", root.Name, h.On),
			root.Site, "the panel").WithHint("its tree begins with panel %q", b.root(root).Name)
	} else if first := b.claims[root]; first != nil {
		relate(c.failf("panel %q belongs to piece %q already", root.Name, first.Name), first.Site, "the other piece")
	}
}

// pieceName asks for a name that makes a file name everywhere.
func (c *call) pieceName(name string) {
	if utf8.RuneCountInString(name) > MaxPieceName {
		c.who = subject{what: "piece"}
	}
	if fault, hint := FileNameFault(name); fault != "" {
		f := c.failf("%s", fault)
		if hint != "" {
			f.WithHint("%s", hint)
		}
	}
}

// FileNameFault says why a name is none that files and folders can have on every
// system, and what to do; both are "" for one that is.
func FileNameFault(name string) (fault, hint string) {
	switch n := utf8.RuneCountInString(name); {
	case n == 0:
		return "the name is empty", ""
	case n > MaxPieceName:
		return fmt.Sprintf("a name of %d characters is too long for file names, at most %d are allowed", n, MaxPieceName), ""
	}
	for _, r := range name {
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune(" _-.", r) {
			return fmt.Sprintf("the name holds %q, which file names may not", r), "use letters, digits, space and _ - ."
		}
	}
	switch {
	case strings.Trim(name, ".") == "":
		return "the name is nothing but dots", ""
	case strings.HasPrefix(name, ".") || strings.HasPrefix(name, " "):
		return "the name begins with a dot or a space", ""
	case strings.HasSuffix(name, ".") || strings.HasSuffix(name, " "):
		return "the name ends with a dot or a space", ""
	case deviceName(name):
		return "Windows keeps that name for a device", "add a word to it"
	}
	return "", ""
}

// deviceName reports whether Windows takes a name for a device, which it does
// whatever follows the first dot (Microsoft, Naming Files, Paths, and
// Namespaces).
func deviceName(name string) bool {
	stem, _, _ := strings.Cut(strings.ToLower(name), ".")
	switch stem {
	case "con", "prn", "aux", "nul":
		return true
	}
	port, numbered := strings.CutPrefix(stem, "com")
	if !numbered {
		port, numbered = strings.CutPrefix(stem, "lpt")
	}
	return numbered && len(port) == 1 && '1' <= port[0] && port[0] <= '9'
}

// FileKey is a piece's name with every letter in one case (Unicode's simple case
// folding): two names with one key would be one file where file systems do not
// tell case apart.
func FileKey(name string) string {
	return strings.Map(func(r rune) rune {
		least := r
		for s := unicode.SimpleFold(r); s != r; s = unicode.SimpleFold(s) {
			least = min(least, s)
		}
		return least
	}, name)
}

// Limits sets limits for a board, or with nil for every board. Values lie
// between 0, which holds to nothing, and geom.MaxSize; each limit is set once
// for each board.
func (b *Builder) Limits(site source.Site, on *board.Board, values map[board.Limit]float64) error {
	c := b.call(site, "limits")
	if len(values) == 0 {
		c.failf("no limit is set").WithHint("name one, as in limits(%s = 2)", board.Web.Name())
	}
	for _, l := range board.Limits() {
		v, given := values[l]
		if !given {
			continue
		}
		between(c, l.Name(), v, 0, geom.MaxSize)
		for _, s := range b.design.Settings {
			if _, ok := s.Values[l]; ok && s.Board == on {
				relate(c.failf("%s is set already", l.Name()), s.Site, "the first time")
			}
		}
	}
	if c.ok() {
		b.design.Settings = append(b.design.Settings, &Setting{Board: on, Values: maps.Clone(values), Site: site})
	}
	return c.err()
}

// Machine records a machine that every piece must fit.
func (b *Builder) Machine(site source.Site, m board.Machine) error {
	c := b.named(site, "machine", m.Name)
	c.name(m.Name)
	for _, first := range b.design.Machines {
		if first.Name == m.Name {
			relate(c.failf("there is a machine of that name already"), first.Site, "the first one").WithHint(ownNameHint)
		}
	}
	made, err := board.NewMachine(m)
	if err != nil {
		f := c.failf("%v", err)
		var line *board.LineError
		asked, known := string(m.Format), []string{}
		for _, k := range board.MachineFormats() {
			known = append(known, string(k))
		}
		if errors.As(err, &line) {
			asked, known = line.Line, board.Lines()
		}
		if near, ok := Nearest(asked, known); ok && (line != nil || errors.Is(err, board.ErrFormat)) {
			f.WithHint("did you mean %q?", near)
		}
	}
	if c.ok() {
		b.design.Machines = append(b.design.Machines, &Machine{made, site})
	}
	return c.err()
}

// Sheet records what the title block says of the job, once. What is "" was not
// given; something must be.
func (b *Builder) Sheet(site source.Site, s Sheet) error {
	c := b.call(site, "sheet")
	if first := b.design.Sheet; first != nil {
		relate(c.failf("the title block is filled in already"), first.Site, "the first time").
			WithHint("say it all in one call")
	}
	facts := s.Facts()
	if len(facts) == 0 {
		c.failf("nothing is given for the title block").WithHint(`name what is known, as in sheet(customer = "Hill & Son", revision = "B")`)
	}
	for _, f := range facts {
		c.text(f.Name, f.Value)
		if n := utf8.RuneCountInString(f.Value); n > MaxName {
			c.failf("%s has %d characters, at most %d are allowed in a title block", f.Name, n, MaxName)
		}
	}
	if c.ok() {
		s.Site = site
		b.design.Sheet = &s
	}
	return c.err()
}

// Allow waives a rule for one panel. Whether there is such a rule is for the
// checks to say, which know them all.
func (b *Builder) Allow(site source.Site, rule string, on *Panel, reason string) error {
	c := b.named(site, "allow", rule)
	c.text("the rule", rule)
	c.owns(b, "on", on)
	c.text("the reason", reason)
	if c.ok() {
		b.design.Waivers = append(b.design.Waivers, &Waiver{Rule: rule, Panel: on, Reason: reason, Site: site})
	}
	return c.err()
}

// Require records the designer's own rule when it does not hold.
func (b *Builder) Require(site source.Site, holds bool, message string) error {
	c := b.call(site, "require")
	c.text("the message", message)
	if c.ok() && !holds {
		b.design.Failed = append(b.design.Failed, &Requirement{Message: message, Site: site})
	}
	return c.err()
}
