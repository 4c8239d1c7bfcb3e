package api

import (
	"bytes"
	"errors"
	"io"
	"strings"

	"github.com/go-json-experiment/json/jsontext"
	"github.com/wattkeel/wattkeel/service/spec"
)

// collector goes through a body token by token beside the shape it should
// have. It notes every fault, and writes the document again without what is
// at fault, so that the rest can be judged too.
type collector struct {
	body   []byte
	dec    *jsontext.Decoder
	root   *root
	out    []byte
	faults []spec.FieldError
	hidden bool // there are more faults than are listed
	// excused holds the pointers of fields that are missing only because their
	// name is misspelled.
	excused map[string]bool
}

func newCollector(body []byte, r *root) *collector {
	return &collector{
		body:    body,
		dec:     jsontext.NewDecoder(bytes.NewBuffer(body)),
		root:    r,
		out:     make([]byte, 0, len(body)),
		excused: map[string]bool{},
	}
}

// document goes through the whole body. It returns the document without its
// faults, or nothing when the body as a whole is at fault.
func (c *collector) document() ([]byte, error) {
	kept, err := c.value(c.root.shape, true)
	if err != nil {
		return nil, c.malformed(err)
	}
	end := int(c.dec.InputOffset())
	if _, err := c.dec.ReadToken(); !errors.Is(err, io.EOF) {
		return nil, trailing(c.body, end)
	}
	if !kept {
		return nil, nil
	}
	return c.out, nil
}

func (c *collector) malformed(err error) error {
	var syntax *jsontext.SyntacticError
	if errors.As(err, &syntax) {
		return malformed(c.body, syntax)
	}
	var own *MalformedError
	if errors.As(err, &own) {
		return own
	}
	return truncated(c.body, "") // io.EOF: nothing but space
}

// value goes through one value. It reports whether the value can stay.
func (c *collector) value(s *shape, required bool) (bool, error) {
	switch k := c.dec.PeekKind(); {
	case k == '{' && (s.form == object || s.form == mapping):
		return true, c.object(s)
	case k == '[' && s.form == listing:
		return c.list(s)
	case k == '{' && s.form != opaque, k == '[' && s.form != opaque:
		if _, err := c.dec.ReadToken(); err != nil {
			return false, err
		}
		c.fault("type", func(p jsontext.Pointer) string { return wrongType(p, s, k, nil) })
		return false, c.pass(1)
	case s.form == opaque && k != 'n':
		start := c.dec.InputOffset()
		if err := c.pass(0); err != nil {
			return false, err
		}
		c.out = append(c.out, bytes.TrimLeft(c.body[start:c.dec.InputOffset()], " \t\r\n:,")...)
		return true, nil
	}
	return c.scalar(s, required)
}

func (c *collector) scalar(s *shape, required bool) (bool, error) {
	v, err := c.dec.ReadValue()
	if err != nil {
		return false, err
	}
	k := v.Kind()
	switch {
	case k == 'n':
		c.fault("null", func(p jsontext.Pointer) string { return nullValue(p, s, required) })
		return false, nil
	case k == '0':
		if !isDouble(v) {
			return false, beyondDouble(c.dec.StackPointer(), v)
		}
		if s.form == whole {
			return c.wholeNumber(s, v), nil
		}
	}
	if k == '"' && len(v) == len(`""`) && (s.words != nil || s.date) {
		rule := "enum"
		if s.date {
			rule = "datetime"
		}
		c.fault(rule, func(p jsontext.Pointer) string { return emptyWord(p, s, required) })
		return false, nil
	}
	if (k == '0' && s.form == number) || (k == '"' && s.form == text) || ((k == 't' || k == 'f') && s.form == truth) {
		c.out = append(c.out, v...)
		return true, nil
	}
	c.fault("type", func(p jsontext.Pointer) string { return wrongType(p, s, k, v) })
	return false, nil
}

// wholeNumber takes 3.0 and 3e0 for the whole numbers they are.
func (c *collector) wholeNumber(s *shape, v jsontext.Value) bool {
	digits, fraction := wholeDigits(string(v))
	switch {
	case fraction:
		c.fault("whole-number", func(p jsontext.Pointer) string {
			return nameOf(p) + " is " + spec.Clip(string(v)) + "; write a whole number"
		})
		return false
	case !fits(s.typ, digits):
		c.fault("range", func(p jsontext.Pointer) string {
			return nameOf(p) + " is " + spec.Clip(string(v)) + ", which is far out of range; check the digits and the unit"
		})
		return false
	}
	c.out = append(c.out, digits...)
	return true
}

func (c *collector) object(s *shape) error {
	if _, err := c.dec.ReadToken(); err != nil {
		return err
	}
	c.out = append(c.out, '{')
	first := true
	for c.dec.PeekKind() != '}' {
		t, err := c.dec.ReadToken()
		if err != nil {
			return err
		}
		name := t.String()
		f := s.fields[name]
		if s.form == mapping {
			f = anyName(name, s.elem)
		}
		if f == nil {
			c.unknown(s, name)
			if err := c.pass(0); err != nil {
				return err
			}
			continue
		}
		mark := len(c.out)
		if !first {
			c.out = append(c.out, ',')
		}
		c.out = append(c.out, f.quoted...)
		kept, err := c.value(f.shape, f.required)
		if err != nil {
			return err
		}
		if kept {
			first = false
		} else {
			c.out = c.out[:mark]
		}
	}
	_, err := c.dec.ReadToken()
	c.out = append(c.out, '}')
	return err
}

func anyName(name string, elem *shape) *field {
	quoted, err := jsontext.AppendQuote(nil, name)
	if err != nil {
		return nil
	}
	return &field{shape: elem, quoted: append(quoted, ':')}
}

// list goes through a list. An entry that is at fault leaves a zero in its
// place, so that the pointers to the entries behind it stay right. A list that
// is too long is not kept at all.
func (c *collector) list(s *shape) (bool, error) {
	if _, err := c.dec.ReadToken(); err != nil {
		return false, err
	}
	c.out = append(c.out, '[')
	n := 0
	for ; c.dec.PeekKind() != ']'; n++ {
		if s.most > 0 && n >= s.most {
			if err := c.pass(0); err != nil {
				return false, err
			}
			continue
		}
		if n > 0 {
			c.out = append(c.out, ',')
		}
		kept, err := c.value(s.elem, true)
		if err != nil {
			return false, err
		}
		if !kept {
			c.out = append(c.out, zero(s.elem.form)...)
		}
	}
	if _, err := c.dec.ReadToken(); err != nil {
		return false, err
	}
	c.out = append(c.out, ']')
	if s.most > 0 && n > s.most {
		c.fault("max", func(p jsontext.Pointer) string { return tooLong(p, n, s.most) })
		return false, nil
	}
	return true, nil
}

// pass reads to the end of the value that is next, or of the one that was
// entered depth levels ago, so that a syntax error in it is still found.
func (c *collector) pass(depth int) error {
	for {
		t, err := c.dec.ReadToken()
		if err != nil {
			return err
		}
		switch t.Kind() {
		case '{', '[':
			depth++
		case '}', ']':
			depth--
		case '0':
			if _, err := t.Float(); err != nil {
				return beyondDouble(c.dec.StackPointer(), jsontext.Value(t.String()))
			}
		}
		if depth == 0 {
			return nil
		}
	}
}

// unknown notes a field that the object s does not have.
func (c *collector) unknown(s *shape, name string) {
	if c.full() {
		c.hidden = true
		return
	}
	p := c.dec.StackPointer()
	parent := p.Parent()
	homes, near := c.root.homes[name], ""
	if len(homes) == 0 {
		near = spec.Nearest(name, s.names)
	}
	if near != "" {
		c.excused[string(parent.AppendToken(near))] = true
	}
	c.add(p, "unknown-field", unknownField(nameOf(parent), name, near, s.names, homes))
}

// fault notes a fault of the value just read. Its words are made only when it
// will be listed.
func (c *collector) fault(rule string, words func(jsontext.Pointer) string) {
	if c.full() {
		c.hidden = true
		return
	}
	p := c.dec.StackPointer()
	c.add(p, rule, words(p))
}

func (c *collector) add(p jsontext.Pointer, rule, detail string) {
	c.faults = append(c.faults, spec.FieldError{Pointer: within(p), Rule: rule, Detail: detail})
}

// within is the pointer, or where a name in it is as long as a whole body, the
// pointer to what that name is in: it is not sent back.
func within(p jsontext.Pointer) string {
	const longest = 512
	for len(p) > longest {
		p = p.Parent()
	}
	return string(p)
}

func (c *collector) full() bool { return len(c.faults) >= mostFaults }

// report is the list of faults as it is answered: what is beyond the limit is
// replaced by a last entry that says so.
func (c *collector) report() []spec.FieldError {
	if !c.hidden && len(c.faults) <= mostFaults {
		return c.faults
	}
	return append(c.faults[:mostFaults-1:mostFaults-1], spec.FieldError{
		Rule: "more-faults", Detail: "there are more faults than are listed; correct these first",
	})
}

// covers says whether a fault that the validator found only follows from one
// of the first n, which were collected: the field was taken out, or what is in
// it was. Two faults that the validator found are both told.
func (c *collector) covers(f spec.FieldError, n int) bool {
	if f.Rule == "required" && c.excused[f.Pointer] {
		return true
	}
	for i := range n {
		at := c.faults[i].Pointer
		if f.Pointer == at || strings.HasPrefix(f.Pointer, at+"/") {
			return true
		}
		if strings.HasPrefix(at, f.Pointer+"/") && (f.Rule == "required" || f.Rule == "min" || f.Rule == "unique") {
			return true
		}
	}
	return false
}
