//go:build !unix

package read

// noWait has no meaning where pipes are not files.
const noWait = 0
