package nest

import "errors"

// ErrNoFit is that a shape does not fit on the sheet by itself.
var ErrNoFit = errors.New("a shape does not fit on the sheet")
