package api

import (
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"hash/fnv"
	"net/http"
	"net/url"
	"strconv"

	"quoin/cmd/quoin/internal/works"
)

// page is a list in pages: its items, and where the next page begins.
type page[T any] struct {
	Items []T    `json:"items"`
	Next  string `json:"next,omitempty" doc:"cursor of the next page, left out on the last"`
}

// Pages have usualPage items unless asked otherwise, and mostPage at most.
const (
	usualPage = 50
	mostPage  = 500
)

var pageParams = []param{
	{Name: "limit", In: "query", Type: "integer", Min: 1, Max: mostPage, Usual: strconv.Itoa(usualPage),
		Says: "items of a page"},
	{Name: "cursor", In: "query", Type: "string",
		Says: "next of the page before, with all other parameters the same; what comes in meanwhile moves nothing"},
}

func paged(params ...param) []param { return append(params, pageParams...) }

// cursor is what a page begins behind: the place of the last item of the page before,
// as its list has it; nil at the beginning. It holds for the query that gave it alone,
// and stays good whatever comes in or goes meanwhile.
func (c *call) cursor() ([]string, error) {
	text := c.text("cursor")
	if text == "" {
		return nil, nil
	}
	raw, err := base64.RawURLEncoding.DecodeString(text)
	if err != nil {
		return nil, badCursor()
	}
	var place []string
	if err := json.Unmarshal(raw, &place); err != nil || len(place) < 2 || place[0] != c.query() {
		return nil, badCursor()
	}
	return place[1:], nil
}

func badCursor() error {
	return &problem{Status: http.StatusBadRequest, Code: "cursor", Where: "query cursor",
		Detail: "the cursor is not one of this list with these parameters", Do: "begin again without a cursor"}
}

// query names the list that is asked for, without the place in it.
func (c *call) query() string {
	q := url.Values{}
	for name, v := range c.values {
		if name != "cursor" && name != "limit" {
			q[name] = v
		}
	}
	sum := fnv.New64a()
	_, _ = fmt.Fprint(sum, c.op.ID, q.Encode()) // a hash takes everything
	return strconv.FormatUint(sum.Sum64(), 36)
}

func (c *call) next(place []string) (string, error) {
	raw, err := json.Marshal(append([]string{c.query()}, place...))
	return base64.RawURLEncoding.EncodeToString(raw), err
}

// inPages makes a page of a list. List reads so many items behind a place, nil for the
// beginning; one more than the page has tells that there is another.
func inPages[S, T any](c *call, list func(limit int, after []string) ([]S, error), place func(S) []string,
	view func(S) T) (*page[T], error) {
	after, err := c.cursor()
	if err != nil {
		return nil, err
	}
	limit := int(c.number("limit"))
	rows, err := list(limit+1, after)
	if errors.Is(err, works.ErrMark) {
		err = badCursor()
	}
	if err != nil {
		return nil, err
	}
	p := &page[T]{Items: []T{}}
	for i, row := range rows {
		if i == limit {
			p.Next, err = c.next(place(rows[i-1]))
			break
		}
		p.Items = append(p.Items, view(row))
	}
	return p, err
}

// byMark makes a page of a list of the store.
func byMark[S, T any](c *call, list func(limit int, after works.Mark) ([]S, error), mark func(S) works.Mark,
	view func(S) T) (*page[T], error) {
	return inPages(c, func(limit int, after []string) ([]S, error) {
		var m works.Mark
		if after != nil {
			m = works.Mark(after[0])
		}
		return list(limit, m)
	}, func(row S) []string { return []string{string(mark(row))} }, view)
}

// byID makes a page of a list that goes down from its newest item.
func byID[S, T any](c *call, list func(limit int, before int64) ([]S, error), id func(S) int64,
	view func(S) T) (*page[T], error) {
	return inPages(c, func(limit int, after []string) ([]S, error) {
		if after == nil {
			return list(limit, 0)
		}
		before, err := strconv.ParseInt(after[0], 10, 64)
		if err != nil || before < 1 {
			return nil, badCursor()
		}
		return list(limit, before)
	}, func(row S) []string { return []string{path64(id(row))} }, view)
}
