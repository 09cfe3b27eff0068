package message

import "fmt"

// Code is the ReturnCode of a response.
type Code int

// The return codes that Quoin writes or looks at.
//
// Source: published samples for Success, NotImplemented and AuthenticationPending.
// From memory: the others, the list of return codes of JDF 1.x, which XJDF 2.x took over.
const (
	Success               Code = 0
	GeneralError          Code = 1
	InternalError         Code = 2
	ParserError           Code = 3
	ValidationError       Code = 4
	NotImplemented        Code = 5
	InvalidParameters     Code = 6
	InsufficientParams    Code = 7
	DeviceNotAvailable    Code = 8
	MessageIncomplete     Code = 9
	Busy                  Code = 10
	SynchronousMode       Code = 11
	AsynchronousMode      Code = 12
	ReliableNotSupported  Code = 13
	DeviceNotRunning      Code = 100
	DeviceIncapable       Code = 101
	NoExecutableNode      Code = 102
	JobIDUnknown          Code = 103
	JobPartIDUnknown      Code = 104
	EntryUnknown          Code = 105
	AlreadyExecuting      Code = 106
	LateChange            Code = 107
	EmptySelection        Code = 108
	IncompleteSelection   Code = 109
	CompletionTime        Code = 110
	SubscriptionDenied    Code = 111
	QueueRefuses          Code = 112
	AlreadyInStatus       Code = 113
	EntryEnded            Code = 114
	EntryNotRunning       Code = 115
	EntryExists           Code = 116
	URLNotAccessible      Code = 120
	DeviceIDUnknown       Code = 121
	GangingNotSupported   Code = 130
	GangNameUnknown       Code = 131
	InvalidResource       Code = 200
	InsufficientResource  Code = 201
	PipeIDUnknown         Code = 202
	AuthenticationDenied  Code = 300
	SecureChannelRequired Code = 302
	AuthenticationPending Code = 304
)

// codeWords says what each code means, in our own words.
var codeWords = map[Code]string{
	Success:               "done",
	GeneralError:          "general error",
	InternalError:         "internal error",
	ParserError:           "not readable as XML",
	ValidationError:       "not valid by the schema",
	NotImplemented:        "not implemented",
	InvalidParameters:     "invalid parameters",
	InsufficientParams:    "parameters are missing",
	DeviceNotAvailable:    "the device is not available",
	MessageIncomplete:     "the message is incomplete",
	Busy:                  "busy, to be asked again later",
	SynchronousMode:       "only with an Acknowledge",
	AsynchronousMode:      "only without an Acknowledge",
	ReliableNotSupported:  "reliable signals are not supported",
	DeviceNotRunning:      "the device is not running",
	DeviceIncapable:       "the device can not do it",
	NoExecutableNode:      "nothing in the ticket can be done here",
	JobIDUnknown:          "the job is not known",
	JobPartIDUnknown:      "the job part is not known",
	EntryUnknown:          "the entry is not in the queue",
	AlreadyExecuting:      "the entry is being worked on",
	LateChange:            "the entry is being worked on, and takes no new ticket",
	EmptySelection:        "nothing fits the filter",
	IncompleteSelection:   "not all that fits the filter can be told",
	CompletionTime:        "the date asked for can not be kept",
	SubscriptionDenied:    "the subscription is denied",
	QueueRefuses:          "the queue takes no entries",
	AlreadyInStatus:       "the entry is in that status already",
	EntryEnded:            "the work on the entry has ended",
	EntryNotRunning:       "the entry is not running",
	EntryExists:           "the entry exists already",
	URLNotAccessible:      "what the URL names can not be had",
	DeviceIDUnknown:       "the device is not known",
	GangingNotSupported:   "ganging is not supported",
	GangNameUnknown:       "the gang is not known",
	InvalidResource:       "invalid parameters of a resource",
	InsufficientResource:  "parameters of a resource are missing",
	PipeIDUnknown:         "the pipe is not known",
	AuthenticationDenied:  "not allowed",
	SecureChannelRequired: "only over a secure channel",
	AuthenticationPending: "the authentication is pending",
}

// String is what the code means, in a few words.
func (c Code) String() string {
	if words, ok := codeWords[c]; ok {
		return words
	}
	return fmt.Sprintf("return code %d", int(c))
}

// Known reports whether the code is one of the list.
func (c Code) Known() bool {
	_, ok := codeWords[c]
	return ok
}
