package main

import (
	"errors"
	"fmt"
	"net"
	"net/netip"
	"strconv"
	"strings"
	"syscall"

	"github.com/spf13/cobra"
)

// pageHelp is what the help of watch says of the page.
const pageHelp = "A page at a loopback address of this machine shows the flat blank and the folded piece of every script,\n" +
	"what was found, and the parameters to try, in step with every save; its URL is said once. It fetches\n" +
	"nothing from elsewhere. \"creasewright words page\" says more."

// pageFlags are what watch takes for its page.
type pageFlags struct {
	address, command string // as given

	// What parse makes of them.
	off    bool
	addr   string        // host and port that were asked for, "" for any port
	editor editorCommand // nil for none
}

// add defines the flags for a command.
func (f *pageFlags) add(cmd *cobra.Command) {
	flags := cmd.Flags()
	flags.StringVar(&f.address, "page", "", "serve the page at this `address`, a port or a loopback host:port, or \"off\" for no page (default: any free port)")
	complete(cmd, "page", fixed("off"))
	flags.StringVar(&f.command, "editor", "", "let the page open a script in your editor by this `command`, such as \"code -g {file}:{line}\"")
	complete(cmd, "editor", fixed())
}

// parse reads what was given.
func (f *pageFlags) parse() (err error) {
	if f.off = f.address == "off"; !f.off && f.address != "" {
		if f.addr, err = loopback(f.address); err != nil {
			return err
		}
	}
	if f.command == "" {
		return nil
	}
	if f.off {
		return errors.New("--editor opens scripts from the page, which is off")
	}
	f.editor, err = parseEditor(f.command)
	return err
}

// loopback is the address that --page names: a port, or a host with one that only this
// machine reaches. "localhost" is not looked up.
func loopback(text string) (string, error) {
	host, port, err := net.SplitHostPort(text)
	if err != nil {
		host, port = "127.0.0.1", text
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	number, err := strconv.ParseUint(port, 10, 16)
	switch ip, notIP := netip.ParseAddr(host); {
	case err != nil || strings.ContainsAny(port, "+_"):
	case notIP != nil || !ip.IsLoopback():
		return "", fmt.Errorf("--page %s: the page is for this machine alone; give a port, or a loopback address such as 127.0.0.1:8080", text)
	default:
		return net.JoinHostPort(ip.String(), strconv.FormatUint(number, 10)), nil
	}
	return "", fmt.Errorf("--page takes a port, a loopback host:port such as 127.0.0.1:8080, or off, not %q", text)
}

// cannotServe is the error for a page that cannot listen.
func (f *pageFlags) cannotServe(err error) error {
	if errors.Is(err, syscall.EADDRINUSE) {
		return fmt.Errorf("the page cannot be served at %s: another program has that port; choose another by --page PORT, or leave --page out for any that is free", f.addr)
	}
	var op *net.OpError
	if errors.As(err, &op) {
		err = op.Err
	}
	if f.addr == "" {
		return fmt.Errorf("the page cannot be served: %w", err)
	}
	return fmt.Errorf("the page cannot be served at %s: %w", f.addr, err)
}
