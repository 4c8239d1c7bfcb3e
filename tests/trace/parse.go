// Package trace recomputes traces from their formulas with an evaluator of its
// own, which shares nothing with the planner: it parses the notation, and
// integrates, solves and searches numerically what the planner has in closed form.
package trace

import (
	"fmt"
	"strconv"
)

// expr is one parsed formula.
type expr struct {
	op   string // "num", "name", "call", or an operator
	num  float64
	name string
	args []*expr
	id   int // tells one place in the formulas from another, for what is remembered
}

type parser struct {
	text string
	at   int
	next *int
}

// parse reads a formula.
func parse(text string, counter *int) (e *expr, err error) {
	p := &parser{text: text, next: counter}
	defer func() {
		if r := recover(); r != nil {
			err = fmt.Errorf("%s: at %d of %q", r, p.at, text)
		}
	}()
	e = p.either()
	if p.space(); p.at != len(p.text) {
		panic("something is left over")
	}
	return e, nil
}

func (p *parser) node(op string, args ...*expr) *expr {
	*p.next++
	return &expr{op: op, args: args, id: *p.next}
}

func (p *parser) space() {
	for p.at < len(p.text) && p.text[p.at] == ' ' {
		p.at++
	}
}

// take consumes one of the tokens, the longest first.
func (p *parser) take(tokens ...string) string {
	p.space()
	for _, t := range tokens {
		if len(p.text)-p.at < len(t) || p.text[p.at:p.at+len(t)] != t {
			continue
		}
		if end := p.at + len(t); isWord(t[0]) && end < len(p.text) && isWord(p.text[end]) {
			continue
		}
		p.at += len(t)
		return t
	}
	return ""
}

func isWord(b byte) bool {
	return 'a' <= b && b <= 'z' || b == '_' || b == '.' || '0' <= b && b <= '9'
}

// chain reads operands of one rank, joined by operators that group to the left.
func (p *parser) chain(operand func() *expr, operators ...string) *expr {
	e := operand()
	for {
		op := p.take(operators...)
		if op == "" {
			return e
		}
		e = p.node(op, e, operand())
	}
}

func (p *parser) either() *expr  { return p.chain(p.both, "or") }
func (p *parser) both() *expr    { return p.chain(p.compare, "and") }
func (p *parser) compare() *expr { return p.chain(p.sum, "<=", ">=", "<", ">") }
func (p *parser) sum() *expr     { return p.chain(p.product, "+", "-") }
func (p *parser) product() *expr { return p.chain(p.power, "*", "/") }
func (p *parser) power() *expr   { return p.chain(p.atom, "^") }

func (p *parser) atom() *expr {
	if p.take("(") != "" {
		e := p.either()
		p.must(")")
		return e
	}
	start := p.at
	for p.at < len(p.text) && isWord(p.text[p.at]) {
		p.at++
	}
	word := p.text[start:p.at]
	if word == "" {
		panic("a name or a number is missing")
	}
	if '0' <= word[0] && word[0] <= '9' {
		if word[len(word)-1] == 'e' { // 1e-9
			p.must("-")
			begin := p.at
			for p.at < len(p.text) && '0' <= p.text[p.at] && p.text[p.at] <= '9' {
				p.at++
			}
			word += "-" + p.text[begin:p.at]
		}
		x, err := strconv.ParseFloat(word, 64)
		if err != nil {
			panic(err.Error())
		}
		e := p.node("num")
		e.num = x
		return e
	}
	e := p.node("name")
	e.name = word
	if p.at < len(p.text) && p.text[p.at] == '(' {
		p.at++
		e.op = "call"
		for p.take(")") == "" {
			if len(e.args) > 0 {
				p.must(",")
			}
			e.args = append(e.args, p.either())
		}
	}
	return e
}

func (p *parser) must(token string) {
	if p.take(token) == "" {
		panic(token + " is missing")
	}
}
