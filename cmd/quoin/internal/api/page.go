package api

import (
	"encoding/base64"
	"fmt"
	"hash/fnv"
	"net/http"
	"net/url"
	"strconv"
	"strings"
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
		Says: "next of the page before, with all other parameters the same"},
}

func paged(params ...param) []param { return append(params, pageParams...) }

// cursor says where a page begins: behind so many items, or before an id, as the list has
// it. It holds for the query that gave it alone.
func (c *call) cursor() (at int64, err error) {
	text := c.text("cursor")
	if text == "" {
		return 0, nil
	}
	bad := &problem{Status: http.StatusBadRequest, Code: "cursor", Where: "query cursor",
		Detail: "the cursor is not one of this list with these parameters", Do: "begin again without a cursor"}
	raw, err := base64.RawURLEncoding.DecodeString(text)
	if err != nil {
		return 0, bad
	}
	number, query, ok := strings.Cut(string(raw), " ")
	at, err = strconv.ParseInt(number, 10, 64)
	if !ok || err != nil || at < 1 || query != c.query() {
		return 0, bad
	}
	return at, nil
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

func (c *call) next(at int64) string {
	return base64.RawURLEncoding.EncodeToString([]byte(strconv.FormatInt(at, 10) + " " + c.query()))
}

// byPlace makes a page of a list that is read from a place on. List reads so many items
// from there; one more than the page has tells that there is another.
func byPlace[S, T any](c *call, list func(limit, offset int) ([]S, error), view func(S) T) (*page[T], error) {
	at, err := c.cursor()
	if err != nil {
		return nil, err
	}
	limit := int(c.number("limit"))
	rows, err := list(limit+1, int(at))
	if err != nil {
		return nil, err
	}
	p := &page[T]{Items: []T{}}
	for i, row := range rows {
		if i == limit {
			p.Next = c.next(at + int64(limit))
			break
		}
		p.Items = append(p.Items, view(row))
	}
	return p, nil
}

// byID makes a page of a list that goes down from its newest item, so that what comes
// meanwhile does not move it.
func byID[S, T any](c *call, list func(limit int, before int64) ([]S, error), id func(S) int64,
	view func(S) T) (*page[T], error) {
	before, err := c.cursor()
	if err != nil {
		return nil, err
	}
	limit := int(c.number("limit"))
	rows, err := list(limit+1, before)
	if err != nil {
		return nil, err
	}
	p := &page[T]{Items: []T{}}
	for i, row := range rows {
		if i == limit {
			p.Next = c.next(id(rows[i-1]))
			break
		}
		p.Items = append(p.Items, view(row))
	}
	return p, nil
}
