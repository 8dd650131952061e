package page

import (
	"context"
	"crypto/rand"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"log"
	"net"
	"net/http"
	"net/netip"
	"strconv"
	"sync"
	"time"
)

// Bounds of what pages may take up.
const (
	mostPages       = 128 // that follow the state
	mostConnections = 512
	mostHeader      = 16 << 10 // bytes
	tokenBytes      = 20
)

// Times after which a peer that does nothing is given up.
const (
	headerTime = 5 * time.Second // to send a request's header
	bodyTime   = 5 * time.Second
	writeTime  = 10 * time.Second // to take in an answer, or one state
	idleTime   = 2 * time.Minute  // between requests
)

// Server serves the pages of some scripts. Its methods may be called from several
// goroutines.
type Server struct {
	source  Source
	feed    *feed
	motions *motions
	tries   *tries
	editing sync.Mutex // held while an editor is being started
	token   string
	addr    string          // as in the URL
	hosts   map[string]bool // what the Host header may be
	assets  map[string]asset
	index   index

	http   *http.Server
	cancel context.CancelFunc // ends what pages have asked for
	served chan error
}

// New listens on a loopback address and serves from now on. It gives an error for any
// other address, or when the port is taken.
func New(o Options) (*Server, error) {
	addr, err := loopback(o.Addr)
	if err != nil {
		return nil, err
	}
	listener, err := net.Listen("tcp", addr.String())
	if err != nil {
		return nil, fmt.Errorf("the page cannot be served at %s: %w", addr, err)
	}
	port := netip.MustParseAddrPort(listener.Addr().String()).Port()
	s := newServer(o.Source, netip.AddrPortFrom(addr.Addr(), port))
	s.start(&bounded{Listener: listener, free: make(chan struct{}, mostConnections)})
	return s, nil
}

// newServer makes the server of an address.
func newServer(source Source, addr netip.AddrPort) *Server {
	token := make([]byte, tokenBytes)
	rand.Read(token) // never fails
	s := &Server{
		source: source, feed: newFeed(), motions: newMotions(), tries: newTries(), assets: loadAssets(),
		token: hex.EncodeToString(token), addr: addr.String(), hosts: map[string]bool{}, served: make(chan error, 1),
	}
	for _, host := range []string{addr.Addr().String(), "127.0.0.1", "::1", "localhost"} {
		s.hosts[net.JoinHostPort(host, strconv.Itoa(int(addr.Port())))] = true
	}
	var ctx context.Context
	ctx, s.cancel = context.WithCancel(context.Background())
	s.http = &http.Server{
		Handler:           s,
		ReadHeaderTimeout: headerTime,
		IdleTimeout:       idleTime,
		MaxHeaderBytes:    mostHeader,
		// It answers "OPTIONS *" whatever the host is.
		DisableGeneralOptionsHandler: true,
		// Without WriteTimeout, which would end every stream of events: each answer
		// sets its own.
		BaseContext: func(net.Listener) context.Context { return ctx },
		ErrorLog:    log.New(io.Discard, "", 0), // of peers that misbehave; the terminal is not theirs
	}
	return s
}

func (s *Server) start(listener net.Listener) {
	go func() { s.served <- s.http.Serve(listener) }()
}

// URL is the address of the page.
func (s *Server) URL() string { return "http://" + s.addr + "/" + s.token + "/" }

// Close stops serving and ends the contexts of what the Source has under way.
func (s *Server) Close() error {
	s.cancel()
	err := s.http.Close()
	if served := <-s.served; !errors.Is(served, http.ErrServerClosed) {
		err = errors.Join(err, served)
	}
	s.served <- http.ErrServerClosed // for a further Close
	return err
}

// loopback reads the address to listen on. A name other than localhost is not
// looked up: it may point anywhere.
func loopback(addr string) (netip.AddrPort, error) {
	if addr == "" {
		addr = "127.0.0.1:0"
	}
	host, port, err := net.SplitHostPort(addr)
	if err != nil {
		return netip.AddrPort{}, fmt.Errorf("%q is no address for the page: it looks like 127.0.0.1:8080", addr)
	}
	if host == "localhost" {
		host = "127.0.0.1"
	}
	at, err := netip.ParseAddrPort(net.JoinHostPort(host, port))
	if err != nil || !at.Addr().IsLoopback() || at.Addr().Zone() != "" {
		return netip.AddrPort{}, fmt.Errorf("the page is for this machine only: it cannot be served at %q, but at 127.0.0.1:8080 or [::1]:8080", addr)
	}
	return at, nil
}

// bounded is a listener with a bound on the number of connections; those beyond it
// are closed at once.
type bounded struct {
	net.Listener
	free chan struct{} // holds one for each open connection
}

func (b *bounded) Accept() (net.Conn, error) {
	for {
		conn, err := b.Listener.Accept()
		if err != nil {
			return nil, err
		}
		select {
		case b.free <- struct{}{}:
			return &counted{Conn: conn, done: sync.OnceFunc(func() { <-b.free })}, nil
		default:
			conn.Close()
		}
	}
}

// counted is a connection that is counted until it is closed.
type counted struct {
	net.Conn
	done func()
}

func (c *counted) Close() error {
	defer c.done()
	return c.Conn.Close()
}
