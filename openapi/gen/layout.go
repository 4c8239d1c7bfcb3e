package main

import (
	"bytes"
	"encoding/json"
	"fmt"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
)

// lineWidth is how many characters a line of JSON may have in the reference
// before it is broken up.
const lineWidth = 72

// layout formats JSON for reading: what fits on a line stands on one.
func layout(v []byte) (string, error) {
	var b strings.Builder
	err := layInto(&b, v, 0)
	return b.String(), err
}

func layInto(b *strings.Builder, v []byte, indent int) error {
	line := jsontext.Value(bytes.Clone(v))
	if err := line.Format(jsontext.SpaceAfterColon(true), jsontext.SpaceAfterComma(true), jsontext.EscapeForHTML(false)); err != nil {
		return fmt.Errorf("format an example: %w", err)
	}
	kind := line.Kind()
	if kind != '{' && kind != '[' || indent > 0 && indent+len([]rune(string(line))) <= lineWidth {
		b.Write(line)
		return nil
	}
	names, entries, err := parts(v)
	if err != nil {
		return err
	}
	if len(entries) == 0 {
		b.Write(line)
		return nil
	}
	closing := byte(']')
	if kind == '{' {
		closing = '}'
	}
	b.WriteByte(byte(kind))
	for i, e := range entries {
		if i > 0 {
			b.WriteByte(',')
		}
		b.WriteString("\n" + strings.Repeat(" ", indent+2))
		if names != nil {
			b.WriteString(names[i] + ": ")
		}
		if err := layInto(b, e, indent+2); err != nil {
			return err
		}
	}
	b.WriteString("\n" + strings.Repeat(" ", indent))
	b.WriteByte(closing)
	return nil
}

// parts takes an object or a list apart, in its own order. The names are as
// they are written, with their quotes; a list has none.
func parts(v []byte) (names []string, entries []json.RawMessage, err error) {
	d := jsontext.NewDecoder(bytes.NewReader(v))
	open, err := d.ReadToken()
	if err != nil {
		return nil, nil, fmt.Errorf("take an example apart: %w", err)
	}
	for d.PeekKind() != '}' && d.PeekKind() != ']' {
		if open.Kind() == '{' {
			name, err := d.ReadValue()
			if err != nil {
				return nil, nil, fmt.Errorf("take an example apart: %w", err)
			}
			names = append(names, string(name))
		}
		e, err := d.ReadValue()
		if err != nil {
			return nil, nil, fmt.Errorf("take an example apart: %w", err)
		}
		entries = append(entries, json.RawMessage(bytes.Clone(e)))
	}
	return names, entries, nil
}

// cut is a list of which an example shows only the beginning.
type cut struct {
	Pointer     string
	Shown, Full int
}

const (
	longAnswer  = 9000 // bytes, from which the lists of an answer are shortened
	shownOfList = 2
)

// shorten leaves out the later entries of the lists of objects in a long
// answer and says which.
func shorten(v []byte, pointer string) ([]byte, []cut, error) {
	kind := jsontext.Value(v).Kind()
	if kind != '{' && kind != '[' {
		return v, nil, nil
	}
	names, entries, err := parts(v)
	if err != nil {
		return nil, nil, err
	}
	var cuts []cut
	if kind == '[' && len(entries) > shownOfList && jsontext.Value(entries[0]).Kind() == '{' {
		cuts = append(cuts, cut{pointer, shownOfList, len(entries)})
		entries = entries[:shownOfList]
	}
	var b bytes.Buffer
	b.WriteByte(byte(kind))
	for i, e := range entries {
		if i > 0 {
			b.WriteByte(',')
		}
		at := fmt.Sprintf("%s/%d", pointer, i)
		if names != nil {
			at = pointer + "/" + strings.Trim(names[i], `"`)
			b.WriteString(names[i] + ":")
		}
		short, more, err := shorten(e, at)
		if err != nil {
			return nil, nil, err
		}
		b.Write(short)
		cuts = append(cuts, more...)
	}
	if kind == '{' {
		b.WriteByte('}')
	} else {
		b.WriteByte(']')
	}
	return b.Bytes(), cuts, nil
}
