package board

import (
	"errors"
	"net/http"

	"quoin/cmd/quoin/internal/works/feed"
)

// followEvents sends the events after a number as server-sent events, and goes on
// with what comes.
func (b *board) followEvents(w http.ResponseWriter, r *http.Request) error {
	f := feed.Feed{Store: b.Store, Ending: b.Ending}
	from, err := f.Start(r)
	if errors.Is(err, feed.ErrNumber) {
		return wrong("What was seen last %v.", err)
	}
	if err != nil {
		return err
	}
	f.Follow(w, r, from)
	return nil
}
