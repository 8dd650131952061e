package model

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
