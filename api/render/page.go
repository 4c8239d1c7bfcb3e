package render

import (
	"strconv"
	"unicode"
	"unicode/utf8"

	"github.com/wattkeel/wattkeel/service/spec"
)

// columns is how wide a line may be: a terminal of 80, quoted once or twice in
// a mail, does not break it again.
const columns = 72

// page writes paragraphs and lists of plain text. Words are gathered with s, n,
// about, i and the like, and para, item or step sets them out in lines. Lists
// are marked so that a chat that knows Markdown shows lists too; nothing is
// lined up in columns, which a proportional font would tear.
type page struct {
	out  []byte // what is set out
	line []byte // what is gathered
}

func newPage() *page { return &page{out: make([]byte, 0, 8<<10), line: make([]byte, 0, 1<<10)} }

func (p *page) s(text string) *page { p.line = append(p.line, text...); return p }

// n writes a number in full, as somebody sets it.
func (p *page) n(x float64) *page { p.line = spec.AppendPlain(p.line, x); return p }

// about writes a computed number as a person reads it. What is not 0 is not
// written as 0.
func (p *page) about(x float64) *page {
	if x != 0 && x > -0.0005 && x < 0.0005 {
		p.line = append(p.line, spec.Beside(x, 0)...)
		return p
	}
	p.line = spec.AppendShort(p.line, x)
	return p
}

func (p *page) i(n int) *page { p.line = strconv.AppendInt(p.line, int64(n), 10); return p }

// stop ends a sentence that has no end of its own.
func (p *page) stop() *page {
	if n := len(p.line); n > 0 {
		switch p.line[n-1] {
		case '.', '!', '?', ':':
			return p
		}
	}
	p.line = append(p.line, '.')
	return p
}

// heading begins a part of the page.
func (p *page) heading(text string) {
	p.gap()
	p.s(text).set("", "")
}

// para sets out a paragraph.
func (p *page) para() {
	if word, _, _ := nextWord(p.line); word == nil {
		return
	}
	p.gap()
	p.under()
}

// under sets out a paragraph right below a heading.
func (p *page) under() { p.set("", "") }

// item sets out an entry of a list.
func (p *page) item() { p.set("- ", "  ") }

// step sets out an entry of a numbered list.
func (p *page) step(number int) { p.set(strconv.Itoa(number)+". ", "   ") }

// gap leaves a line free, but for the first.
func (p *page) gap() {
	if len(p.out) > 0 {
		p.out = append(p.out, '\n')
	}
}

// set breaks what was gathered into lines, the first behind one mark, the
// others behind another; nothing is no line. What is not to be seen - control characters, bytes
// that are no UTF-8, marks that turn the direction of writing - parts words as
// a space does, so that nothing in an answer can move a cursor or forge a line.
func (p *page) set(first, hang string) {
	line := p.line
	p.line = p.line[:0]
	word, wide, next := nextWord(line)
	if word == nil {
		return
	}
	out := append(p.out, first...)
	used := len(first) // columns of this line; the marks are ASCII
	for empty := true; word != nil; {
		follower, followerWide, rest := nextWord(next)
		need := wide
		if follower != nil && isQuantity(word, wide, followerWide) {
			need += 1 + followerWide
		}
		switch {
		case empty:
		case used+1+need > columns:
			out = append(append(out, '\n'), hang...)
			used = len(hang)
		default:
			out = append(out, ' ')
			used++
		}
		out = append(out, word...)
		used, empty = used+wide, false
		word, wide, next = follower, followerWide, rest
	}
	p.out = append(out, '\n')
}

// isQuantity says that a word is a number and what follows it short enough to
// be its unit: the two are kept on one line.
func isQuantity(word []byte, wide, follower int) bool {
	last := word[len(word)-1]
	return '0' <= last && last <= '9' && wide <= 12 && follower <= 8
}

// nextWord is the first word of a text, how many columns it takes, and the text
// behind it; the word is nil at the end.
func nextWord(text []byte) (word []byte, wide int, rest []byte) {
	begin := 0
	for i := 0; i < len(text); {
		from := i
		for i < len(text) && ' ' < text[i] && text[i] < 0x7f { // nearly all of a page is ASCII
			i++
		}
		wide += i - from
		if i == len(text) {
			break
		}
		size, ink := 1, false
		if text[i] >= utf8.RuneSelf {
			var r rune
			r, size = utf8.DecodeRune(text[i:])
			if ink = (r != utf8.RuneError || size > 1) && unicode.IsGraphic(r) && !unicode.IsSpace(r); ink {
				wide += width(r)
			}
		}
		switch {
		case ink:
		case i > begin:
			return text[begin:i], wide, text[i+size:]
		default:
			begin = i + size
		}
		i += size
	}
	if begin == len(text) {
		return nil, 0, nil
	}
	return text[begin:], wide, nil
}

// width is how many columns a character takes in a terminal: none where it
// marks another, two where it is of a script whose characters are square.
func width(r rune) int {
	switch {
	case unicode.In(r, unicode.Mn, unicode.Me):
		return 0
	case unicode.In(r, unicode.Han, unicode.Hangul, unicode.Hiragana, unicode.Katakana), r >= 0x1F300 && r <= 0x1FAFF:
		return 2
	}
	return 1
}
