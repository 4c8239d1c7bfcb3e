package api

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"strconv"
	"unicode/utf8"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/wattkeel/wattkeel/service/spec"
)

// malformed puts the decoder's error into words of our own. What kind of
// error it is shows in its type and in the bytes it points to.
func malformed(body []byte, e *jsontext.SyntacticError) *MalformedError {
	off := int(min(max(e.ByteOffset, 0), int64(len(body))))
	f := spec.FieldError{Pointer: within(e.JSONPointer), Rule: "syntax"}
	switch {
	case errors.Is(e, jsontext.ErrDuplicateName):
		f.Rule, f.Detail = "duplicate-name", spec.Clip(e.JSONPointer.LastToken())+" is given twice; keep one of them"
	case errors.Is(e, io.ErrUnexpectedEOF):
		return truncated(body, e.JSONPointer)
	case errors.Is(e, jsontext.ErrNonStringName):
		f.Detail = "the name of a field stands in double quotes"
	case behindEnd(body, off):
		return trailing(body, off)
	default:
		f.Rule, f.Detail = atByte(body, off)
	}
	f.Detail = position(body, off) + ": " + f.Detail
	return &MalformedError{Faults: []spec.FieldError{f}}
}

func truncated(body []byte, p jsontext.Pointer) *MalformedError {
	if len(bytes.TrimSpace(body)) == 0 {
		return &MalformedError{Faults: []spec.FieldError{{Rule: "empty-body", Detail: "the body is empty; send a JSON object"}}}
	}
	return &MalformedError{Faults: []spec.FieldError{{
		Pointer: within(p),
		Rule:    "truncated",
		Detail:  position(body, len(body)) + ": the body ends too early; a quote, a brace or a bracket is not closed",
	}}}
}

// trailing is something behind the end of the document, which is at or before
// off.
func trailing(body []byte, off int) *MalformedError {
	off = len(body) - len(bytes.TrimLeft(body[off:], " \t\r\n"))
	return &MalformedError{Faults: []spec.FieldError{{
		Rule:   "trailing-bytes",
		Detail: position(body, off) + ": there is something behind the end of the document; send one document at a time",
	}}}
}

func beyondDouble(p jsontext.Pointer, literal jsontext.Value) *MalformedError {
	return &MalformedError{Faults: []spec.FieldError{{
		Pointer: within(p),
		Rule:    "number-range",
		Detail:  nameOf(p) + " is " + spec.Clip(string(literal)) + ", beyond the range of a double (about 1.8e308)",
	}}}
}

// behindEnd says whether all that was opened before off is closed there.
func behindEnd(body []byte, off int) bool {
	before := bytes.TrimSpace(body[:off])
	if len(before) == 0 || (before[0] != '{' && before[0] != '[') {
		return false
	}
	depth := 0
	for i := 0; i < len(before); i++ {
		switch before[i] {
		case '"':
			i = closingQuote(before, i+1)
		case '{', '[':
			depth++
		case '}', ']':
			depth--
		}
	}
	return depth == 0
}

// atByte names the slip that the byte at off shows.
func atByte(body []byte, off int) (rule, words string) {
	r, size := utf8.DecodeRune(body[off:])
	if r == utf8.RuneError && size <= 1 {
		return "utf-8", "the bytes here are not UTF-8; save the document as UTF-8"
	}
	rest := body[off+size:]
	next := bytes.TrimLeft(rest, " \t\r\n")
	switch r {
	case '\uFEFF':
		return "syntax", "the body begins with a byte order mark; leave it out"
	case '\\':
		if isSurrogate(rest) {
			return "utf-8", "half of a surrogate pair stands alone here; write both halves or the character itself"
		}
		return "syntax", `a backslash in a string is followed by none of "\/bfnrtu; write \\ for the backslash itself`
	case ',':
		if len(next) > 0 && (next[0] == '}' || next[0] == ']') {
			return "syntax", "there is a comma behind the last entry; remove it"
		}
	case '\'':
		return "syntax", "texts and names stand in double quotes, not in single ones"
	case '/', '#':
		return "syntax", "JSON has no comments; remove it"
	case 'N', 'I':
		return "syntax", "JSON has neither NaN nor Infinity; leave the field out"
	case 'T', 'F', 'n':
		return "syntax", "write true and false in small letters, and leave out a field that has no value"
	case '.':
		return "syntax", "a number begins with a digit: write 0.5, not .5"
	case '+':
		return "syntax", "a number has no plus sign before it"
	case '"':
		return "syntax", "a comma or a colon is missing before this"
	}
	if r < ' ' {
		return "syntax", fmt.Sprintf(`a control character (U+%04X) stands in a text; write a line break as \n and a tab as \t`, r)
	}
	if '0' <= r && r <= '9' && off > 0 && body[off-1] == '0' {
		return "syntax", "a number does not begin with 0 before other digits"
	}
	return "syntax", fmt.Sprintf("%q is not expected here", r)
}

// isSurrogate says whether what follows a backslash is one half of a UTF-16
// surrogate pair.
func isSurrogate(rest []byte) bool {
	if len(rest) < 5 || rest[0] != 'u' {
		return false
	}
	n, err := strconv.ParseUint(string(rest[1:5]), 16, 16)
	return err == nil && n >= 0xD800 && n <= 0xDFFF
}

// position is the line and the column, in characters, of a byte.
func position(body []byte, off int) string {
	before := body[:off]
	line := bytes.Count(before, []byte{'\n'}) + 1
	column := utf8.RuneCount(before[bytes.LastIndexByte(before, '\n')+1:]) + 1
	return fmt.Sprintf("line %d, column %d", line, column)
}
