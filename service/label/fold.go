package label

import "unicode"

// Every character of the text becomes one byte, so that a position in the
// folded text is a position in the text, counted in code points. What stands
// for no ASCII character has a byte of its own.
const (
	dotByte      = 0x10 // a middle dot or a bullet
	degreeByte   = 0x11 // a degree sign
	celsiusByte  = 0x12 // a degree sign and its letter in one
	otherByte    = 0x13 // any other sign
	squaredByte  = 0xfe // a superscript two
	foreignByte  = 0xff // a letter or digit of another script
	firstLetters = 0xf0 // bytes from here on are letters
)

// fold spells a character in ASCII lower case.
func fold(c rune) byte {
	switch {
	case c == '\n' || c == '\r' || c == '\v' || c == '\f':
		return '\n'
	case c < ' ' || c == 0x7f:
		return ' '
	case c < 0x80:
		if 'A' <= c && c <= 'Z' {
			c += 'a' - 'A'
		}
		return byte(c)
	case 0xff01 <= c && c <= 0xff5e: // full width
		return fold(c - 0xff01 + '!')
	case 0x2080 <= c && c <= 0x2089: // subscripts: LiFePO₄
		return byte(c-0x2080) + '0'
	case 0x2000 <= c && c <= 0x200d, c == 0xa0, c == 0xad, c == 0x202f, c == 0x205f, c == 0x2060, c == 0x3000, c == 0xfeff:
		return ' '
	case 0x2010 <= c && c <= 0x2015, c == 0x2212, c == 0xfe58, c == 0xfe63:
		return '-'
	}
	switch c {
	case 0x85, 0x2028, 0x2029:
		return '\n'
	case '×', '✕', '✖', '╳', '⨯':
		return '*'
	case '·', '•', '∙', '⋅', '・', '･', '‧':
		return dotByte
	case '°', 'º', '˚':
		return degreeByte
	case '℃', '℉':
		return celsiusByte
	case '²':
		return squaredByte
	case '’', '‘', 'ʼ', '′':
		return '\''
	case '〜', '∼', '～':
		return '~'
	case '∕', '⁄':
		return '/'
	case '∶':
		return ':'
	case '、':
		return ','
	}
	switch {
	case unicode.IsLetter(c) || unicode.IsMark(c) || unicode.IsNumber(c):
		return foreignByte
	case unicode.IsSpace(c):
		return ' '
	}
	return otherByte
}

func isDigit(b byte) bool { return '0' <= b && b <= '9' }

func isLetter(b byte) bool { return 'a' <= b && b <= 'z' || b >= firstLetters }
