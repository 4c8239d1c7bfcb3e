// Package api is the edge of the service: the one table of operations, the
// strict reading of bodies, content negotiation, and the answers given to
// everything that goes wrong. What an answer holds is decided in the packages
// under service; nothing there knows about HTTP.
package api
