// Package orders makes up orders that a plant could get: customers, products
// and quantities drawn with a seed, the papers from the plant's own list, as
// XJDF product tickets. Whether the plant can make one is for its plan to say.
package orders
