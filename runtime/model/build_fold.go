package model

import (
	"slices"

	"github.com/creasewright/creasewright/runtime/source"
)

// DefaultFold is the fold angle in degrees of a panel or flap that asks for
// none.
const DefaultFold = 90

// Degrees is a given fold angle.
func Degrees(d float64) *Fold { return &Fold{Degrees: d} }

// Freely is a fold that takes the angle of f.
func Freely(f *Free) *Fold { return &Fold{Free: f} }

// Free makes one unknown fold angle: side is "in" or "out", near is nil or an
// angle on that side to look at first.
func (b *Builder) Free(site source.Site, side string, near *float64) (*Free, error) {
	c := b.call(site, "free")
	c.oneOf("side", side, "in", "out")
	f := &Free{Side: In, NearDegrees: own(near), Site: site}
	if side == "out" {
		f.Side = Out
	}
	c.free(f)
	if !c.ok() {
		return nil, c.err()
	}
	b.frees[f] = f
	return f, nil
}

// free checks an unknown angle, which Go callers may have made themselves.
func (c *call) free(f *Free) {
	switch {
	case f.Side == In && f.NearDegrees != nil:
		c.between("near", *f.NearDegrees, 0, 180)
	case f.Side == Out && f.NearDegrees != nil:
		c.between("near", *f.NearDegrees, -180, 0)
	case f.Side != In && f.Side != Out:
		c.failf("a free fold goes neither in nor out")
	}
}

// fold is the fold asked for, or dflt when there is none. Of an unknown angle
// that a Go caller made the design holds a copy, one for all hinges that share
// it.
func (b *Builder) fold(c *call, asked *Fold, dflt Fold) Fold {
	switch {
	case asked == nil:
		return dflt
	case asked.Free != nil:
		if c.free(asked.Free); c.ok() && b.frees[asked.Free] == nil {
			f := *asked.Free
			f.NearDegrees = own(f.NearDegrees)
			b.frees[asked.Free], b.frees[&f] = &f, &f
		}
		return Fold{Free: b.frees[asked.Free]}
	}
	c.between("fold", asked.Degrees, -180, 180)
	return *asked
}

// line is the line asked for, a score when none is.
func (c *call) line(asked LineKind, of []LineKind) LineKind {
	if asked == "" {
		return Score
	}
	if !slices.Contains(of, asked) {
		words := make([]string, len(of))
		for i, l := range of {
			words[i] = string(l)
		}
		c.oneOf("line", string(asked), words...)
	}
	return asked
}
