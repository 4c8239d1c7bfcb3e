package spec

import (
	"crypto/sha256"
	"encoding/hex"
)

// identity is what the id of an answer is the hash of.
type identity[Req any] struct {
	Request  *Req      `json:"request"`
	Versions *Versions `json:"versions"`
}

// Identifier names the answers to one kind of request: the SHA-256, in
// hexadecimal, of the canonical JSON (RFC 8785) of the request and the versions,
// so that anyone can recompute it. It is safe for concurrent use.
type Identifier[Req any] struct{ canonical *Canonical }

// NewIdentifier builds an Identifier.
func NewIdentifier[Req any]() Identifier[Req] {
	return Identifier[Req]{NewCanonical(&identity[Req]{})}
}

// ID is the id of the answer to q. It works in the memory of scratch, which may
// be nil, and hands it back grown.
func (i Identifier[Req]) ID(q *Req, v *Versions, scratch []byte) (id string, grown []byte) {
	scratch = i.canonical.Append(scratch[:0], &identity[Req]{q, v})
	sum := sha256.Sum256(scratch)
	var text [2 * sha256.Size]byte
	hex.Encode(text[:], sum[:])
	return string(text[:]), scratch
}
