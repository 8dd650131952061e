package page

import (
	"net/http"
	"time"
)

// heartbeat is how often a page is written to at least, so that one that has gone is
// noticed.
const heartbeat = 15 * time.Second

// events tells a page the state, now and at every change, until it goes. States that
// come while it is being written to are skipped but for the latest. A page that takes none
// in within writeTime is dropped; a browser that is alive connects again.
func (s *Server) events(w http.ResponseWriter, r *http.Request) {
	wake, ok := s.feed.follow(mostPages)
	if !ok {
		fail(w, http.StatusServiceUnavailable, "too many pages are open")
		return
	}
	defer s.feed.leave(wake)
	w.Header().Set("Content-Type", "text/event-stream")
	beat := time.NewTicker(heartbeat)
	defer beat.Stop()
	out := http.NewResponseController(w)
	text := []byte("retry: 1000\n\n") // ms until the browser connects again
	for {
		deadline(w, writeTime)
		if _, err := w.Write(text); err != nil {
			return
		}
		if out.Flush() != nil {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-beat.C:
			text = []byte(": \n\n")
		case <-wake:
			state, err := s.feed.state()
			if err != nil {
				return
			}
			text = append(append([]byte("event: state\ndata: "), state...), "\n\n"...)
		}
	}
}
