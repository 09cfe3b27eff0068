// Package api is the service for programs: JSON over HTTP under /api/v1.
//
// One table of operations drives everything: the router, the roles, how parameters are
// read and refused, and the OpenAPI description, whose schemas are made of the Go types
// of the answers. So the description can not say what the service does not do.
//
// Mistakes of who asks are answered as problem details (RFC 9457): what is wrong, where,
// and what to do. Lists come in pages with a cursor. Who acts on a job says by If-Match
// which state of it was seen; who hands in a ticket may repeat the request with the same
// Idempotency-Key.
package api
