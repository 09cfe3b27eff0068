package works

import "time"

// Source is the way by which a document came in.
type Source string

// The ways.
const (
	ByMessage Source = "message" // posted to the message endpoint
	ByFolder  Source = "folder"  // found in a hot folder
	ByUpload  Source = "upload"  // given by a person, on the board or through the API
)

// Incoming is a document as it came in, before anybody has looked into it.
type Incoming struct {
	Partner   string // who sent it, as access knows them; the name of the folder for ByFolder
	Source    Source
	Origin    string // the address or path it came from, for people
	Name      string // of the file, "" when it has none
	Media     string // media type as given
	MessageID string // by which the sender knows it; "" when it gives none
	Body      []byte

	// Afresh takes it as new even if the same has come before: a person asks for it.
	Afresh bool
}

// Message is a document in the inbox.
type Message struct {
	ID        int64
	Partner   string
	Source    Source
	Origin    string
	Name      string
	Media     string
	MessageID string
	Blob      string // of the body
	Size      int64  // in bytes
	At        time.Time
	Clash     int64   // the earlier message of this sender with the same id and another content, 0 for none
	Repeats   int     // how often it came again
	Answer    *Answer // nil until it is answered
}

// Answer is what was answered to a message, or by a device to a delivery.
type Answer struct {
	Status int    // of HTTP; 0 where there is none
	Code   int    // the standard's return code
	Media  string // media type of the body
	Body   []byte
	At     time.Time // when it was stored; set by the store
}

// Received says what became of an incoming document: it is stored. Same is set
// when it came before; Message is then the first one, with its answer if it has
// one already.
type Received struct {
	*Message
	Same bool
}

// MessageFilter chooses messages of the inbox. Zero values choose all.
type MessageFilter struct {
	Partner    string
	Unanswered bool
	Before     int64 // ids below, for paging
	Limit      int   // default 100
}
