package works

import (
	"net/url"
	"regexp"
	"strings"
)

// An address may hold a user, a password or a key in its query, which are needed to
// send to it and are nobody's to read. So the store keeps addresses whole only where
// something is sent from: Delivery.Address, Ticket.ReturnURL and ReturnJMF,
// Subscription.URL, Device.URL. Everything that is said goes through Bare and Scrub:
// errors, reasons, events, alerts and the log on their way into the store, and what
// boards, messages and logs show of an address.

// Bare takes user, password, query and fragment off a URL. What is no URL, such as a
// folder, stays as it is; a URL that can not be read keeps nothing but its scheme.
func Bare(address string) string {
	scheme, _, found := strings.Cut(address, "://")
	if !found {
		return address
	}
	u, err := url.Parse(address)
	if err != nil || u.Host == "" && u.Scheme != "file" {
		return scheme + "://hidden"
	}
	return (&url.URL{Scheme: u.Scheme, Host: u.Host, Path: u.Path, RawPath: u.RawPath}).String()
}

// WithoutUser takes user and password off a URL, and nothing else: for who named the
// address, and has to know it again.
func WithoutUser(address string) string {
	u, err := url.Parse(address)
	if err != nil {
		return Bare(address)
	}
	if u.User == nil {
		return address
	}
	u.User = nil
	return u.String()
}

// addresses finds the URLs in a text. A URL has none of the letters that end one here.
var addresses = regexp.MustCompile(`[A-Za-z][A-Za-z0-9+.-]*://[^\s"<>]+`)

// Scrub makes each URL in a text bare.
func Scrub(text string) string {
	if !strings.Contains(text, "://") {
		return text
	}
	return addresses.ReplaceAllStringFunc(text, func(found string) string {
		address := strings.TrimRight(found, `:;,.)'\`) // the mark behind it
		return Bare(address) + found[len(address):]
	})
}
