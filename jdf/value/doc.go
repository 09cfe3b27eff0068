// Package value holds the data types of job tickets: what an attribute of JDF 1.x or XJDF 2.x may hold,
// how it is read, and how it is printed again.
//
// Reading follows W3C XML Schema Part 2, Second Edition, and the simple types of the two published schemas. White
// space at the ends of a value never matters, because every type here collapses it. What cannot be read comes back
// as a *[SyntaxError], which tells the value and the form that was wanted; no input panics.
//
// Two things are left to the caller on purpose. Facets that a schema adds to a type (a greatest length, a list of
// allowed values) belong to the dictionary of that schema. And values that are well formed but senseless, such as a
// rectangle turned inside out, are read without complaint; their Check method finds them.
//
// Lengths are in DTP points (1/72 inch) unless a name says otherwise, because both standards use points throughout.
package value
