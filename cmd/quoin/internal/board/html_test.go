package board_test

import (
	"net/http"
	"net/http/httptest"
	"net/url"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"
	"golang.org/x/net/html"
)

// pages are those that the checks of the HTML walk over.
var pages = []string{
	"/", "/?show=all", "/?show=refused&text=wedding", "/?customer=harbour&show=all",
	"/devices", "/schedule", "/schedule?days=7&from=2026-03-04",
	"/tickets/1", "/tickets/2", "/tickets/3", "/tickets/4", "/tickets/5", "/tickets/2/abort", "/tickets/5/priority",
	"/upload", "/reports", "/reports?by=device", "/reports?by=day&from=2026-03-05", "/reports?by=part&job=SPW-1041",
	"/alerts",
	"/deliveries", "/deliveries?show=dead", "/messages", "/messages/1", "/messages/3", "/about", "/login",
	"/nowhere", "/tickets/99", "/?page=0",
}

// TestPages reads every page as a browser does, and checks what people who do not
// see it, or do not use a mouse, rely on.
func TestPages(t *testing.T) {
	h := open(t, true)
	h.seed()
	require.Greater(t, len(pages), 20)
	for _, path := range pages {
		t.Run(path, func(t *testing.T) {
			got := h.get(path)
			want := map[string]int{"/nowhere": 404, "/tickets/99": 404, "/?page=0": 400}[path]
			if want == 0 {
				want = http.StatusOK
			}
			require.Equal(t, want, got.Code, got.Body.String())
			checkPage(t, got.Body.String())
		})
	}
}

func (h *house) get(path string) *httptest.ResponseRecorder {
	w := httptest.NewRecorder()
	h.handler.ServeHTTP(w, httptest.NewRequest(http.MethodGet, path, nil))
	return w
}

// post sends a form as the page that holds it does.
func (h *house) post(path string, values url.Values) *httptest.ResponseRecorder {
	r := httptest.NewRequest(http.MethodPost, path, strings.NewReader(values.Encode()))
	r.Header.Set("Content-Type", "application/x-www-form-urlencoded")
	r.Header.Set("Sec-Fetch-Site", "same-origin")
	w := httptest.NewRecorder()
	h.handler.ServeHTTP(w, r)
	return w
}

func checkPage(t *testing.T, text string) {
	t.Helper()
	root, err := html.Parse(strings.NewReader(text))
	require.NoError(t, err)
	c := &pageCheck{t: t, ids: map[string]int{}, labels: map[string]bool{}}
	c.walk(root, c.gather)
	for id, n := range c.ids {
		require.Equal(t, 1, n, "id %q", id)
	}
	c.walk(root, c.check)
	require.Equal(t, []int{1, 1, 1}, []int{c.mains, c.tops, c.h1}, "landmarks main and header, and one first heading")
	require.True(t, c.language, "the page says its language")
	require.True(t, c.title, "the page has a title")
}

type pageCheck struct {
	t               *testing.T
	ids             map[string]int
	labels          map[string]bool
	level           int
	mains, tops, h1 int
	language, title bool
}

func (c *pageCheck) walk(n *html.Node, f func(*html.Node)) {
	if n.Type == html.ElementNode {
		f(n)
	}
	for k := n.FirstChild; k != nil; k = k.NextSibling {
		c.walk(k, f)
	}
}

func (c *pageCheck) gather(n *html.Node) {
	if id := attr(n, "id"); id != "" {
		c.ids[id]++
	}
	if n.Data == "label" {
		c.labels[attr(n, "for")] = true
	}
}

func (c *pageCheck) check(n *html.Node) {
	for _, a := range n.Attr {
		c.attribute(n, a)
	}
	switch n.Data {
	case "html":
		c.language = attr(n, "lang") == "en"
	case "title":
		c.title = c.title || words(n) != "" && n.Parent.Data == "head"
	case "main":
		c.mains++
	case "header":
		c.tops++
	case "input", "select", "textarea":
		if attr(n, "type") != "hidden" {
			require.True(c.t, c.labels[attr(n, "id")], "%s %q has no label", n.Data, attr(n, "name"))
		}
	case "img":
		require.NotEmpty(c.t, attr(n, "alt"), "a picture without words")
	case "a", "button", "summary", "th":
		require.NotEmpty(c.t, words(n), "%s without words", n.Data)
		if n.Data == "th" {
			require.NotEmpty(c.t, attr(n, "scope"), "header %q says not of what", words(n))
		}
	case "h1", "h2", "h3":
		level := int(n.Data[1] - '0')
		require.LessOrEqual(c.t, level, c.level+1, "heading %q leaves out a level", words(n))
		c.level = level
		if level == 1 {
			c.h1++
		}
	case "nav":
		require.NotEmpty(c.t, attr(n, "aria-label"), "navigation without a name")
	case "svg":
		require.True(c.t, attr(n, "aria-hidden") == "true" || attr(n, "aria-label") != "", "picture without words")
	case "form":
		require.Contains(c.t, []string{"get", "post"}, attr(n, "method"))
	case "script":
		require.NotEmpty(c.t, attr(n, "src"), "a script within the page")
	case "style", "iframe", "object", "embed":
		require.Fail(c.t, n.Data+" has no place on a page")
	}
}

// attribute checks that a page asks for nothing outside and has no script or style
// of its own, which the policy would not let work either; and that what names an id
// names one that is there.
func (c *pageCheck) attribute(n *html.Node, a html.Attribute) {
	switch key := a.Key; {
	case key == "href" || key == "src" || key == "action" || key == "srcset" || key == "data":
		u, err := url.Parse(a.Val)
		require.NoError(c.t, err)
		require.Empty(c.t, u.Host, "%s of %s leads outside: %q", key, n.Data, a.Val)
		require.Empty(c.t, u.Scheme, "%s of %s is %q", key, n.Data, a.Val)
		if u.Path == "" && u.Fragment != "" {
			require.Equal(c.t, 1, c.ids[u.Fragment], "nothing has the id %q", u.Fragment)
		}
	case key == "style" || strings.HasPrefix(key, "on"):
		require.Fail(c.t, key+" on "+n.Data)
	case key == "aria-labelledby" || key == "aria-describedby":
		require.Equal(c.t, 1, c.ids[a.Val], "nothing has the id %q", a.Val)
	}
}

func attr(n *html.Node, key string) string {
	for _, a := range n.Attr {
		if a.Key == key {
			return a.Val
		}
	}
	return ""
}

// words are the text of a node as a reader of screens says it.
func words(n *html.Node) string {
	if n.Type == html.TextNode {
		return strings.TrimSpace(n.Data)
	}
	if n.Type == html.ElementNode && attr(n, "aria-hidden") == "true" {
		return ""
	}
	var all []string
	if alt := attr(n, "alt"); alt != "" {
		all = append(all, alt)
	}
	for k := n.FirstChild; k != nil; k = k.NextSibling {
		if w := words(k); w != "" {
			all = append(all, w)
		}
	}
	return strings.Join(all, " ")
}
