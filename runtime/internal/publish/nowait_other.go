//go:build !unix

package publish

// noWait has no meaning where pipes are not files.
const noWait = 0
