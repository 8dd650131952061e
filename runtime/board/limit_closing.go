package board

// Limits on closures and on what a piece carries.
var (
	// GlueTab is the least depth of a tab that is glued: 12 to 16 mm in cartons,
	// 8 to 10 in small ones, 5 in paper (common practice, no source); 30 to 35
	// in corrugated, where trade pages agree (konetool.com, "corrugated box
	// knowledge").
	GlueTab = &Limit{
		Name: "glue_tab", Unit: "mm", Doc: "least depth of a tab that is glued",
		Says: "12 mm, on small pieces a twentieth of their longer side but 8 mm at least; 5 mm for paper, 30 mm for corrugated", Source: Practice,
		Default: func(b *Board) float64 {
			switch b.Kind {
			case Paper:
				return 5
			case Corrugated:
				return 30
			}
			return 12
		},
	}

	// SeamRelief keeps a wall that ends at a glued seam off the crease of the
	// tab; 0.5 to 1 mm is usual. Common practice, no source.
	SeamRelief = &Limit{
		Name: "seam_relief", Unit: "mm", Doc: "least distance of a wall that ends at a glued seam from the tab's crease",
		Says: "0.3 mm; 0 for paper", Source: Practice,
		Default: func(b *Board) float64 {
			if b.Kind == Paper {
				return 0
			}
			return 0.3
		},
	}

	// TuckPlay is the least room beside a tuck, both sides together; 0.5 mm and
	// a caliper are usual. Common practice, no source.
	TuckPlay = &Limit{
		Name: "tuck_play", Unit: "mm", Doc: "least room beside a tuck in its opening, both sides together",
		Says: "0.2 mm", Source: Practice, Default: always(0.2),
	}

	// TuckLoose is the most room beside a tuck that still guides it; walls that
	// are rolled over take a few calipers on either side. Common practice, no
	// source.
	TuckLoose = &Limit{
		Name: "tuck_loose", Unit: "mm", Doc: "most room beside a tuck in its opening, both sides together",
		Says: "6 mm and four calipers", Source: Practice,
		Default: func(b *Board) float64 { return 6 + 4*b.Caliper },
	}

	// FlapGap keeps dust flaps from meeting; half the way across less 1 mm is
	// usual for each. Common practice, no source.
	FlapGap = &Limit{
		Name: "flap_gap", Unit: "mm", Doc: "least distance between dust flaps that face each other",
		Says: "1 mm", Source: Practice, Default: always(1),
	}

	// LidOver is how far a lid may be too large: a caliper is lost on thin
	// board. Common practice, no source.
	LidOver = &Limit{
		Name: "lid_over", Unit: "mm", Doc: "how far a lid may reach over the walls it closes, or its tuck into the wall before it",
		Says: "0.5 mm", Source: Practice, Default: always(0.5),
	}

	// SlotLoose is how much wider than its board a slot may be; 0.3 to 0.5 mm is
	// usual in card and 0.5 to 1 mm in corrugated. Common practice, no source.
	SlotLoose = &Limit{
		Name: "slot_loose", Unit: "mm", Doc: "how much wider than the board that passes through it a slot may be",
		Says: "3 mm; 5 mm for corrugated", Source: Practice,
		Default: func(b *Board) float64 {
			if b.Kind == Corrugated {
				return 5
			}
			return 3
		},
	}

	// Heavy is the mass beyond which to say that nobody looked at strength. It
	// says nothing about what a piece can carry. Common practice, no source.
	Heavy = &Limit{
		Name: "heavy", Unit: "grams", Doc: "mass of contents above which the checks say that strength is not assessed",
		Says: "500 g; 50 g for paper, 5000 g for corrugated", Source: Practice,
		Default: func(b *Board) float64 {
			switch b.Kind {
			case Paper:
				return 50
			case Corrugated:
				return 5000
			}
			return 500
		},
	}
)
