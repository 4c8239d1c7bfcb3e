package label

import (
	"slices"
	"unicode/utf8"

	"github.com/wattkeel/wattkeel/service/rule"
	"github.com/wattkeel/wattkeel/service/spec"
)

// token is a number, a word or a sign.
type token struct {
	kind       tokenKind
	sign       byte // of a sign
	space      bool // white space stands before it
	single     bool // exactly one white space does
	line       bool // a line break stands before it
	odd        bool // it stands in what looks like a model number
	taken      bool // it is part of the name of a chemistry
	quiet      bool // it is part of a number of seconds
	known      bool // a word of the lexicon
	means      meaning
	start, end int
}

type tokenKind uint8

const (
	aNumber tokenKind = iota
	aWord
	aSign
)

// page is one text while it is read.
type page struct {
	r          *Reader
	text       string
	at         []int // of each character of the text its first byte, and the end
	folded     []byte
	tokens     []token
	quantities []quantity
	anchors    []anchor
	claims     []claim
	families   []mention
	unread     []Unread
	found      []Contradiction
	chosen     [fieldCount]int     // the claim that stands in the pack, from 1; 0 for none
	refuted    [fieldCount]bool    // contradicted: left out
	cold       bool                // the last quantity was a temperature below or at zero, written as a rate
	size       bool                // a cell size as 18650 is named
	told       sides               // on which side of their numbers the words stand
	printed    [fieldCount]float64 // the only value of a field; -1 for none, 0 where nobody has looked yet
	lowest     float64             // of the voltages of the pack; 0 where nobody has looked yet

	// Working memory of single steps.
	words               []roleWord
	between, both, wait []bundle
	done                []bool
	order               []int
	pack                spec.Pack
	numbers             [fieldCount]float64 // what the pack points at
	facts               rule.Facts
}

// clear makes the page ready for another text. What went into an answer is not
// used again, and nothing of a request is kept.
func (p *page) clear() {
	clear(p.claims)
	clear(p.families)
	*p = page{
		r: p.r, at: p.at[:0], folded: p.folded[:0], tokens: p.tokens[:0], quantities: p.quantities[:0],
		anchors: p.anchors[:0], claims: p.claims[:0], families: p.families[:0],
		words: p.words[:0], between: p.between[:0], both: p.both[:0], wait: p.wait[:0], done: p.done[:0], order: p.order[:0],
	}
}

// open folds the text, one byte for each character.
func (p *page) open(text string) {
	if !utf8.ValidString(text) {
		text = string([]rune(text)) // a piece of it is valid, too
	}
	p.text = text
	p.at, p.folded = slices.Grow(p.at, len(text)+1), slices.Grow(p.folded, len(text))
	for i, c := range text {
		b := byte(c)
		if c >= 0x7f || c < ' ' || 'A' <= c && c <= 'Z' {
			b = fold(c)
		}
		p.at, p.folded = append(p.at, i), append(p.folded, b)
	}
	p.at = append(p.at, len(text))
}

// scan makes tokens of the text in one pass.
func (p *page) scan(text string) {
	p.open(text)
	f := p.folded
	spaces, line := 0, false
	for i := 0; i < len(f); {
		t := token{start: i, space: spaces > 0 || line, single: spaces == 1 && !line, line: line}
		switch b := f[i]; {
		case b == ' ':
			spaces++
			i++
			continue
		case b == '\n':
			line = true
			i++
			continue
		case isDigit(b), b == '.' && i+1 < len(f) && isDigit(f[i+1]) && (i == 0 || !isDigit(f[i-1]) && !isLetter(f[i-1])):
			i = numberEnd(f, i)
			t.kind = aNumber
		case isLetter(b):
			for i < len(f) && isLetter(f[i]) {
				i++
			}
			t.kind = aWord
			t.means, t.known = p.r.words[string(f[t.start:i])]
		default:
			t.kind, t.sign = aSign, b
			i++
		}
		t.end = i
		p.tokens = append(p.tokens, t)
		spaces, line = 0, false
	}
}

// numberEnd is the end of the digits, and of the points, commas and
// apostrophes among them, that begin at i.
func numberEnd(f []byte, i int) int {
	i++
	for i < len(f) {
		switch {
		case isDigit(f[i]):
			i++
		case (f[i] == '.' || f[i] == ',' || f[i] == '\'') && i+1 < len(f) && isDigit(f[i+1]):
			i += 2
		default:
			return i
		}
	}
	return i
}

// word is the text of a token, folded.
func (p *page) word(i int) string { return string(p.folded[p.tokens[i].start:p.tokens[i].end]) }

func (p *page) is(i int, word string) bool {
	return i >= 0 && i < len(p.tokens) && p.tokens[i].kind == aWord && string(p.folded[p.tokens[i].start:p.tokens[i].end]) == word
}

func (p *page) kindAt(i int, k tokenKind) bool {
	return i >= 0 && i < len(p.tokens) && p.tokens[i].kind == k
}

func (p *page) signAt(i int, signs ...byte) bool {
	if !p.kindAt(i, aSign) {
		return false
	}
	for _, s := range signs {
		if p.tokens[i].sign == s {
			return true
		}
	}
	return false
}

// glued reports whether token i follows the one before it without a space.
func (p *page) glued(i int) bool { return i > 0 && i < len(p.tokens) && !p.tokens[i].space }

// piece is a range of the text.
func (p *page) piece(start, end int) string { return p.text[p.at[start]:p.at[end]] }

// markOdd finds what looks like a model number: a run without spaces in which
// a word that means nothing here touches a number, or stands short beside one,
// or in which a number without a unit follows a unit.
func (p *page) markOdd() {
	for from := 0; from < len(p.tokens); {
		to, digits, odd, short := from, false, false, false
		for ; to < len(p.tokens) && (to == from || !p.tokens[to].space); to++ {
			t := &p.tokens[to]
			if t.kind == aSign && t.sign != '-' && t.sign != '_' && t.sign != '.' && t.sign != '#' {
				break
			}
			touches := func(i int, k tokenKind) bool {
				return i >= from && p.kindAt(i, k) && (i <= to || p.glued(i))
			}
			switch {
			case t.taken:
			case t.kind == aNumber:
				digits = true
				bare := !touches(to+1, aWord) || !p.tokens[to+1].known
				if touches(to-1, aWord) && p.tokens[to-1].means.unit != noUnit && !p.tokens[to-1].means.length && p.tokens[to-1].means.unit != gauge && bare {
					odd = true
				}
			case t.kind == aWord && !t.known:
				const shortWord = 4
				short = short || t.end-t.start <= shortWord
				odd = odd || touches(to-1, aNumber) || touches(to+1, aNumber)
			}
		}
		if to == from {
			to++
		}
		if odd || short && digits {
			for i := from; i < to; i++ {
				p.tokens[i].odd = true
			}
		}
		from = to
	}
}
