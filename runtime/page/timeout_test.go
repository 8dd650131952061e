package page

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"net/netip"
	"strings"
	"testing"
	"testing/synctest"
	"time"
)

// pipes is a listener whose connections stay in memory, so that a bubble of synctest can have
// its own time.
type pipes struct {
	conns  chan net.Conn
	closed context.Context
	close  context.CancelFunc
}

func (p *pipes) Accept() (net.Conn, error) {
	select {
	case conn := <-p.conns:
		return conn, nil
	case <-p.closed.Done():
		return nil, net.ErrClosed
	}
}

func (p *pipes) Close() error   { p.close(); return nil }
func (p *pipes) Addr() net.Addr { return &net.TCPAddr{} }

// inBubble runs a test of a server in a bubble. Dial gives a connection to it, and the time of its
// end by the server, once it has been read to there.
func inBubble(t *testing.T, src Source, test func(s *Server, dial func() net.Conn)) {
	synctest.Test(t, func(t *testing.T) {
		s := newServer(src, netip.MustParseAddrPort("127.0.0.1:8080"))
		s.Add(Script{Editor: true})
		p := &pipes{conns: make(chan net.Conn)}
		p.closed, p.close = context.WithCancel(t.Context())
		s.start(p)
		test(s, func() net.Conn {
			ours, theirs := net.Pipe()
			p.conns <- theirs
			return ours
		})
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	})
}

// lasts reads a connection to its end and gives how long that took.
func lasts(t *testing.T, conn net.Conn) (took time.Duration, read string) {
	t.Helper()
	begun := time.Now()
	text, err := io.ReadAll(conn)
	if err != nil && !errors.Is(err, io.ErrClosedPipe) {
		t.Error(err)
	}
	return time.Since(begun), string(text)
}

// A peer that does nothing, sends its header or its body slowly, is given up.
func TestSlowPeersAreGivenUp(t *testing.T) {
	inBubble(t, &source{}, func(s *Server, dial func() net.Conn) {
		silent := dial()
		if took, _ := lasts(t, silent); took != headerTime {
			t.Errorf("a silent peer is given up after %v", took)
		}

		slow := dial()
		go func() {
			for err := error(nil); err == nil; time.Sleep(time.Second) {
				_, err = slow.Write([]byte("GET "))
			}
		}()
		if took, _ := lasts(t, slow); took != headerTime {
			t.Errorf("a slow header is given up after %v", took)
		}

		for _, c := range []struct{ path, answer string }{
			{"POST /" + s.token + "/edit/0", "HTTP/1.1 400"},
			{"POST /wrong/edit/0", "HTTP/1.1 403"},
			{"GET /" + s.token + "/none", "HTTP/1.1 404"},
			{"BREW /", "HTTP/1.1 403"},
		} {
			body := dial()
			fmt.Fprintf(body, "%s HTTP/1.1\r\nHost: %s\r\nOrigin: http://%s\r\nContent-Type: application/json\r\nContent-Length: 99\r\n\r\n{", c.path, s.addr, s.addr)
			if took, text := lasts(t, body); took < bodyTime || took > 2*bodyTime || !strings.HasPrefix(text, c.answer) {
				t.Errorf("%s: a slow body is given up after %v: %s", c.path, took, text)
			}
		}

		idle := dial()
		fmt.Fprintf(idle, "GET /%s/ HTTP/1.1\r\nHost: %s\r\n\r\n", s.token, s.addr)
		if took, text := lasts(t, idle); took != idleTime || !strings.HasPrefix(text, "HTTP/1.1 200") {
			t.Errorf("an idle connection is given up after %v: %.20s", took, text)
		}
	})
}

// A peer that does not take in its answer is given up; the server's time is its own.
func TestPeersThatReadNothingAreGivenUp(t *testing.T) {
	inBubble(t, &source{}, func(s *Server, dial func() net.Conn) {
		s.Show(0, Run{Display: make([]byte, 1<<20)})
		for _, path := range []string{"", "events", "data/" + digestOf(make([]byte, 1<<20))} {
			conn := dial()
			fmt.Fprintf(conn, "GET /%s/%s HTTP/1.1\r\nHost: %s\r\n\r\n", s.token, path, s.addr)
			time.Sleep(writeTime + time.Second)
			synctest.Wait()
			if _, text := lasts(t, conn); text != "" {
				t.Errorf("%q: there is still %.20q", path, text)
			}
		}
		if n := following(s); n != 0 {
			t.Errorf("%d pages follow", n)
		}
	})
}

// A page that is told nothing for a while is written to all the same, so that its end is
// noticed; a try lasts as long as it takes, though a body and an answer have their time.
func TestQuietTimesEndNothing(t *testing.T) {
	src := &source{try: func(ctx context.Context, _ int, _ map[string]string, _ func(string)) (Run, error) {
		select {
		case <-time.After(time.Minute):
			return Run{Display: display(1)}, nil
		case <-ctx.Done():
			return Run{}, ctx.Err()
		}
	}}
	inBubble(t, src, func(s *Server, dial func() net.Conn) {
		page := dial()
		fmt.Fprintf(page, "GET /%s/events HTTP/1.1\r\nHost: %s\r\n\r\n", s.token, s.addr)
		beats := make(chan int, 1)
		go func() {
			n := 0
			for in := bufio.NewScanner(page); in.Scan(); {
				if in.Text() == ": " {
					n++
				}
			}
			beats <- n
		}()
		body := tryBody("page", 1)
		trying := dial()
		fmt.Fprintf(trying, "POST /%s/try/0 HTTP/1.1\r\nHost: %s\r\nOrigin: http://%s\r\nContent-Type: application/json\r\nContent-Length: %d\r\n\r\n%s",
			s.token, s.addr, s.addr, len(body), body)
		res, err := http.ReadResponse(bufio.NewReader(trying), nil)
		if err != nil || res.StatusCode != http.StatusOK {
			t.Fatal(res, err)
		}
		trying.Close()
		page.Close()
		if n := <-beats; n < 3 { // the fourth is due with the end of the try
			t.Errorf("%d beats in a minute", n)
		}
		waitFor(func() bool { return following(s) == 0 })
	})
}
