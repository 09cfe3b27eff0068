package alerts

// Lease is for tests of several instances.
var Lease = lease
