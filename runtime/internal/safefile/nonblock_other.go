//go:build !unix

package safefile

// nonBlock has no meaning where pipes are not files.
const nonBlock = 0
