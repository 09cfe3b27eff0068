// Package jdf reads the tickets and messages of both generations of the open
// job ticket standard: JDF 1.x with JMF, and XJDF 2.x with XJMF.
//
// Read turns bytes into a Document: an immutable tree in which every element
// and every attribute knows its place in the source. What is wrong with the
// bytes as XML comes back as Faults beside whatever could be read; a Go error
// is returned only when the bytes could not be had at all.
//
// A Document is an arena. Nodes are indices into it, names are interned, and
// text is sliced from the source, so that a large ticket costs a small
// multiple of its size. Node and Attr are small handles, to be passed by value.
package jdf
