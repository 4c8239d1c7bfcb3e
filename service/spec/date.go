package spec

import "time"

// Date is a calendar date, written as YYYY-MM-DD (ISO 8601).
type Date string

// Day returns the number of days since 1970-01-01, and whether d is a date.
func (d Date) Day() (int, bool) {
	if d == "" { // not given: no error need be made for it
		return 0, false
	}
	t, err := time.Parse(time.DateOnly, string(d))
	if err != nil {
		return 0, false
	}
	return int(t.Unix() / 86400), true
}
