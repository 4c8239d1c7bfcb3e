// Package render writes finished answers for people to read. It lays out what
// an answer says, in its order of weight, and works nothing out: a number here
// is one of the answer, written shorter.
package render
