package api

import (
	"errors"
	"net/http"

	"quoin/cmd/quoin/internal/works/feed"
)

// followEvents gives the events after a number and goes on with what comes.
func followEvents(a *api, c *call) (*reply, error) {
	f := feed.Feed{Store: a.parts.Store, Ending: a.parts.Ending}
	from, err := f.Start(c.r)
	if errors.Is(err, feed.ErrNumber) {
		return nil, &problem{Status: http.StatusBadRequest, Code: "parameter-wrong", Where: "header Last-Event-ID",
			Detail: "the number of the last event " + err.Error(), Do: "send the id of an event, or none"}
	}
	if err != nil {
		return nil, err
	}
	return &reply{stream: func(c *call) error {
		f.Follow(c.w, c.r, from, c.all("kind")...)
		return nil // who has gone away comes again
	}}, nil
}
