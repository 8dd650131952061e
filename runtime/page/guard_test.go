package page

import (
	"bufio"
	"fmt"
	"io"
	"net"
	"net/http"
	"strings"
	"testing"
)

// everyRoute is each route with its method, for a server that exposed has prepared.
var everyRoute = []struct{ method, path, body string }{
	{"GET", "", ""},
	{"GET", "a/app.js", ""},
	{"GET", "print/0", ""},
	{"GET", "events", ""},
	{"GET", "data/" + digestOf(display(1)), ""},
	{"GET", "motion/0?digest=" + digestOf(display(1)) + "&piece=0&pose=closed&at=0.5", ""},
	{"GET", "file/0/preview.svg", ""},
	{"POST", "try/0", `{"client":"c","params":{}}`},
	{"POST", "edit/0", `{"file":"tea.star","line":3}`},
}

// exposed is a server on which every route has something to answer.
func exposed(t testing.TB) *Server {
	s := serve(t, &source{
		motion: stateSource,
		file:   func(int, string) ([]byte, error) { return []byte("<svg/>"), nil },
		edit:   func(int, string, int) error { return nil },
	})
	s.assets["app.js"] = asset{kind: assetKinds[".js"], body: []byte("1;")} // so that the test needs no embedded ones
	s.assets[printName] = asset{kind: assetKinds[".html"], body: []byte("print")}
	id := s.Add(Script{Name: "tea.star", Editor: true})
	s.Show(id, Run{Display: display(1), Files: []File{{Name: "preview.svg"}}})
	return s
}

// status asks for the status and the headers of an answer alone: events do not end.
func status(t testing.TB, s *Server, method, url, body string, headers ...string) (int, http.Header) {
	t.Helper()
	conn, err := net.Dial("tcp", s.addr)
	if err != nil {
		t.Fatal(err)
	}
	defer conn.Close()
	all := map[string]string{"Host": s.addr}
	if method == "POST" {
		all["Origin"], all["Content-Type"] = "http://"+s.addr, "application/json"
	}
	for i := 0; i < len(headers); i += 2 {
		all[headers[i]] = headers[i+1]
	}
	var head strings.Builder
	fmt.Fprintf(&head, "%s %s HTTP/1.1\r\nContent-Length: %d\r\n", method, url, len(body))
	for name, value := range all {
		if value != "" {
			fmt.Fprintf(&head, "%s: %s\r\n", name, value)
		}
	}
	if _, err := io.WriteString(conn, head.String()+"\r\n"+body); err != nil {
		t.Fatal(err)
	}
	res, err := http.ReadResponse(bufio.NewReader(conn), &http.Request{Method: method})
	if err != nil {
		t.Fatal(err)
	}
	if res.Close { // which is taken out of the header when it is read
		res.Header.Set("Connection", "close")
	}
	return res.StatusCode, res.Header
}

// Every route answers our own page, and nobody with a wrong token, a wrong Host or
// another origin. Every answer, these included, has all headers, and none lets another
// origin read it.
func TestOnlyOurPagesAreAnswered(t *testing.T) {
	s := exposed(t)
	port := s.addr[strings.LastIndex(s.addr, ":"):]
	token := "/" + s.token + "/"
	wrong := token[:len(token)-2] + "x/"
	for _, route := range everyRoute {
		for _, c := range []struct {
			name    string
			path    string
			headers []string
			want    int
		}{
			{"ours", token, nil, 200},
			{"by name", token, []string{"Host", "localhost" + port, "Origin", "http://localhost" + port}, 200},
			{"by the other loopback address", token, []string{"Host", "[::1]" + port, "Origin", "http://[::1]" + port}, 200},
			{"the browser says it is ours", token, []string{"Sec-Fetch-Site", "same-origin"}, 200},

			{"no token", "/", nil, 403},
			{"wrong token", wrong, nil, 403},
			{"token in capitals", strings.ToUpper(token), nil, 403},
			{"half a token", token[:len(token)/2] + "/", nil, 403},
			{"longer token", token[:len(token)-1] + "0/", nil, 403},
			{"escaped token", "/%" + fmt.Sprintf("%x", token[1]) + token[2:], nil, 403},
			{"token after an empty element", "/" + token, nil, 403},

			{"wrong host", token, []string{"Host", "example.com"}, 403},
			{"wrong host with our port", token, []string{"Host", "example.com" + port}, 403},
			{"our address without a port", token, []string{"Host", "127.0.0.1"}, 403},
			{"wrong port", token, []string{"Host", "127.0.0.1:1"}, 403},
			{"name that begins like ours", token, []string{"Host", "localhost.example.com" + port}, 403},
			{"trailing dot", token, []string{"Host", "localhost." + port}, 403},

			{"other origin", token, []string{"Origin", "http://example.com"}, 403},
			{"no origin can be told", token, []string{"Origin", "null"}, 403},
			{"other port", token, []string{"Origin", "http://127.0.0.1:1"}, 403},
			{"other scheme", token, []string{"Origin", "https://" + s.addr}, 403},
			{"other name of ours", token, []string{"Origin", "http://localhost" + port}, 403},
			{"the browser says it is another site's", token, []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "no-cors"}, 403},
			{"the browser says it is another port's", token, []string{"Sec-Fetch-Site", "same-site", "Sec-Fetch-Mode", "cors"}, 403},
			{"framed", token, []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "iframe"}, 403},
		} {
			got, h := status(t, s, route.method, c.path+route.path, route.body, c.headers...)
			if got != c.want {
				t.Errorf("%s %q, %s: %d, want %d", route.method, route.path, c.name, got, c.want)
			}
			checkHeaders(t, route.path, h)
		}
	}
}

// Requests that name no path of ours are refused like those of strangers.
func TestOddRequestsAreRefused(t *testing.T) {
	s := exposed(t)
	for _, c := range []struct{ method, target string }{
		{"OPTIONS", "*"}, {"CONNECT", s.addr}, {"GET", "http://example.com/" + s.token + "/"}, {"GET", "//" + s.token + "/"}, {"GET", "/"}, {"GET", "/favicon.ico"},
	} {
		got, h := status(t, s, c.method, c.target, "")
		if got != 403 {
			t.Errorf("%s %s: %d", c.method, c.target, got)
		}
		checkHeaders(t, "", h)
	}
}

// checkHeaders holds an answer to the headers that every one has.
func checkHeaders(t testing.TB, path string, h http.Header) {
	t.Helper()
	policy := h.Get("Content-Security-Policy")
	for _, want := range []string{"default-src 'none'", "base-uri 'none'", "form-action 'none'", "frame-ancestors 'none'"} {
		if !strings.Contains(policy, want) {
			t.Errorf("%q: policy %q lacks %s", path, policy, want)
		}
	}
	for name, want := range map[string]string{
		"X-Content-Type-Options":       "nosniff",
		"Referrer-Policy":              "no-referrer",
		"Cross-Origin-Resource-Policy": "same-origin",
		"Cross-Origin-Opener-Policy":   "same-origin",
	} {
		if got := h.Get(name); got != want {
			t.Errorf("%q: %s is %q", path, name, got)
		}
	}
	if cached := h.Get("Cache-Control"); cached != "no-store" && !(strings.HasPrefix(path, "data/") && strings.Contains(cached, "immutable")) {
		t.Errorf("%q: cached %q", path, cached)
	}
	for name := range h {
		if strings.HasPrefix(name, "Access-Control") {
			t.Errorf("%q: %s", path, name)
		}
	}
}

// A link on a page of another origin, or a file that --open has the browser show, leads to
// whole pages only, and to nothing that changes anything.
func TestLinksLeadToPagesOnly(t *testing.T) {
	s := exposed(t)
	link := []string{"Sec-Fetch-Site", "cross-site", "Sec-Fetch-Mode", "navigate", "Sec-Fetch-Dest", "document"}
	if got, _ := status(t, s, "GET", "/"+s.token+"/", "", link...); got != 200 {
		t.Errorf("the page: %d", got)
	}
	for _, route := range everyRoute {
		if route.method == "POST" {
			if got, _ := status(t, s, "POST", "/"+s.token+"/"+route.path, route.body, link...); got != 403 {
				t.Errorf("%s: %d", route.path, got)
			}
		}
	}
}

// A route takes its one method.
func TestOtherMethodsAreRefused(t *testing.T) {
	s := exposed(t)
	for _, route := range everyRoute {
		for _, method := range []string{"GET", "HEAD", "POST", "PUT", "DELETE", "OPTIONS", "TRACE", "PATCH", "BREW"} {
			if method == route.method {
				continue
			}
			got, h := status(t, s, method, "/"+s.token+"/"+route.path, route.body)
			if got != 405 || h.Get("Allow") != route.method {
				t.Errorf("%s %q: %d, allowed is %q", method, route.path, got, h.Get("Allow"))
			}
			checkHeaders(t, route.path, h)
		}
	}
}

// What changes something names its origin and is JSON, of some size.
func TestOrdersAreJSONOfOurOrigin(t *testing.T) {
	s := exposed(t)
	for _, path := range []string{"try/0", "edit/0"} {
		at := "/" + s.token + "/" + path
		body := `{"client":"c","params":{},"file":"tea.star","line":3}`
		for _, c := range []struct {
			name    string
			body    string
			headers []string
			want    int
		}{
			{"right", body, nil, 200},
			{"with a charset", body, []string{"Content-Type", "application/json; charset=utf-8"}, 200},
			{"no origin", body, []string{"Origin", ""}, 403},
			{"a form", body, []string{"Content-Type", "application/x-www-form-urlencoded"}, 415},
			{"text", body, []string{"Content-Type", "text/plain"}, 415},
			{"no type", body, []string{"Content-Type", ""}, 415},
			{"not JSON", "{", nil, 400},
			{"nothing", "", nil, 400},
			{"two values", body + body, nil, 400},
			{"a list", "[]", nil, 400},
			{"too long", `{"client":"` + strings.Repeat("c", mostBody) + `"}`, nil, 413},
		} {
			if got, _ := status(t, s, "POST", at, c.body, c.headers...); got != c.want {
				t.Errorf("%s, %s: %d, want %d", path, c.name, got, c.want)
			}
		}
	}
}

// Names that stand in no list lead nowhere, however they are written.
func TestOtherNamesAreNotFound(t *testing.T) {
	s := exposed(t)
	for _, path := range []string{
		"index.html", "a", "a/", "a/index.html", "a/print.html", "a/../a/app.js", "a/%2e%2e/app.js", "a/..%2fapp.js", "a/app.js/", "a//app.js",
		"a/app.js%00", "a/app.js%00.html", "a/%61pp.jss", "a/assets/app.js", "a/App.js", "a/%ff", "./a/app.js",
		"print", "print/", "print/1", "print/-1", "print/00", "print/+0", "print/0x0", "print/0/0", "print/99999999999999999999",
		"data", "data/", "data/x", "data/" + strings.ToUpper(digestOf(display(1))), "data/" + digestOf(display(2)),
		"events/", "events/0", "motion/1?at=0", "motion/0/0",
		"file/0", "file/0/", "file/1/preview.svg", "file/0/preview.SVG", "file/0/report.json", "file/0/..", "file/0/../0/preview.svg",
		"file/0/%2e%2e%2fpreview.svg", "file/0/..%5cpreview.svg", "file/0/%2fetc%2fpasswd", "file/0//etc/passwd", "file/0/preview.svg%20",
		"file/0/preview.svg::$DATA", "file/0/./preview.svg", "file/0/preview.svg/", "file%2f0%2fpreview.svg", "..", "../", "%2e%2e/", "\\", "favicon.ico",
	} {
		got, h := status(t, s, "GET", "/"+s.token+"/"+path, "")
		if got != 404 {
			t.Errorf("%q: %d", path, got)
		}
		checkHeaders(t, "", h)
	}
	for _, path := range []string{"try/1", "edit/1", "try", "try/0/0"} {
		if got, _ := status(t, s, "POST", "/"+s.token+"/"+path, `{"client":"c"}`); got != 404 {
			t.Errorf("POST %q: %d", path, got)
		}
	}
}

// The server listens on this machine only, and does not look names up.
func TestOnlyLoopbackAddresses(t *testing.T) {
	for _, addr := range []string{
		":0", "0.0.0.0:0", "[::]:0", "192.0.2.1:0", "example.com:0", "127.0.0.1", "localhost", "127.0.0.1:http", "127.0.0.1:-1", "127.0.0.1:65536",
		"[::1%lo]:0", "127.1:0", "localhost.example.com:0", "[::ffff:192.0.2.1]:0", "@", "/tmp/socket",
	} {
		if s, err := New(Options{Addr: addr}); err == nil {
			t.Errorf("%q: served at %s", addr, s.URL())
			s.Close()
		}
	}
	for _, addr := range []string{"", "127.0.0.1:0", "localhost:0", "127.0.0.2:0", "[::1]:0"} {
		s, err := New(Options{Addr: addr})
		if err != nil {
			if strings.Contains(addr, "::1") || strings.Contains(addr, ".2") {
				continue // not every machine has these
			}
			t.Errorf("%q: %v", addr, err)
			continue
		}
		if res, _ := ask(t, s, "GET", "", ""); res.StatusCode != 200 {
			t.Errorf("%q: %s", addr, res.Status)
		}
		if err := s.Close(); err != nil {
			t.Error(err)
		}
	}
}

// A port that is taken is said, and a server that was closed serves no more.
func TestClosedServersServeNoMore(t *testing.T) {
	s := serve(t, &source{})
	page := follow(t, s)
	if other, err := New(Options{Addr: s.addr}); err == nil {
		other.Close()
		t.Error("two servers have one port")
	}
	if err := s.Close(); err != nil {
		t.Error(err)
	}
	for page.in.Scan() { // to its end
	}
	if conn, err := net.Dial("tcp", s.addr); err == nil {
		conn.Close()
		t.Error("it still listens")
	}
}

// Tokens have at least 128 bits and differ.
func TestTokensAreRandom(t *testing.T) {
	seen := map[string]bool{}
	for range 20 {
		s, err := New(Options{})
		if err != nil {
			t.Fatal(err)
		}
		s.Close()
		if seen[s.token] || len(s.token) < 32 {
			t.Errorf("token %q", s.token)
		}
		seen[s.token] = true
	}
}

// Strangers keep no connection, and those beyond the bound are closed while others are served.
func TestConnectionsAreBounded(t *testing.T) {
	s := exposed(t)
	if _, h := status(t, s, "GET", "/", ""); h.Get("Connection") != "close" {
		t.Error("a stranger's connection stays")
	}
	inner, err := net.Listen("tcp", "127.0.0.1:0")
	if err != nil {
		t.Fatal(err)
	}
	b := &bounded{Listener: inner, free: make(chan struct{}, 2)}
	defer b.Close()
	served := make(chan net.Conn)
	go func() {
		for {
			conn, err := b.Accept()
			if err != nil {
				return
			}
			served <- conn
		}
	}()
	dial := func() net.Conn {
		conn, err := net.Dial("tcp", inner.Addr().String())
		if err != nil {
			t.Fatal(err)
		}
		t.Cleanup(func() { conn.Close() })
		return conn
	}
	dial()
	first := <-served
	dial()
	<-served
	if _, err := dial().Read(make([]byte, 1)); err == nil {
		t.Error("a connection beyond the bound is served")
	}
	first.Close()
	first.Close() // counts once
	dial()
	<-served
	if _, err := dial().Read(make([]byte, 1)); err == nil {
		t.Error("a connection beyond the bound is served")
	}
}
