package check

// Pierced lists the pairs of panels, by their places in the piece, that cross
// deeper in the pose than a touch: what the rule panels-collide tells of.
func (p *Pose) Pierced() [][2]int {
	var out [][2]int
	for _, t := range p.Penetrations {
		if t.Depth > collideLimit(p.Piece) {
			out = append(out, [2]int{t.A, t.B})
		}
	}
	return out
}
