package label_test

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"

	"github.com/wattkeel/wattkeel/service/label"
)

func hostile() []string {
	return []string{
		"1", "1 ", "1-", "1x", "1,", "1.", "1/", "100 ", "3S", "3S ", "30C ", "30C/", "burst ", "30C burst ", "5C charge ", "12.6V charge 30C ", "3S 30C charge 12.6V ", "2.2A charge 5C ", "charge/", "(", "((30C", "max ",
		"li-", "lithium ", "li po ion fe ", "2200mAh ", "2200mAh 30C ", "11.1V ", "LiPo ", "LiPo NiMH ", "AWG ", "cells:", "°", "1°", "-1C ", "a1", "ab-1C", "1\n",
		"10s burst ", "66A ", "continuous/burst ", "Ａ", "١", "\xff30C ", "\u200b", "12345678901234567890", "capacity: 1 ", "1 000 ", "2x", "1x1x1mm ", "…", "high voltage ",
	}
}

// Whatever the text, ten times as much takes about ten times as long: were
// anything looked at again for each piece, it would be a hundred times. A busy
// machine makes single measurements too long, never too short, so the least of
// several counts.
func TestReadingTakesTimeInProportion(t *testing.T) {
	r := reader()
	measure := func(text string) time.Duration {
		start := time.Now()
		r.Read(&label.Request{Text: text})
		return time.Since(start)
	}
	for _, unit := range hostile() {
		const short, tries = 4000, 12
		text := strings.Repeat(unit, short/len([]rune(unit))+1)
		once, ten := time.Hour, time.Hour
		for n := 0; n < 3 || n < tries && ten > 40*once; n++ {
			ten = min(ten, measure(strings.Repeat(text, 10)))
			once = min(once, measure(text))
		}
		assert.LessOrEqual(t, ten, 40*once, "%q", unit)
	}
}

func TestHostileTextIsReadSoundly(t *testing.T) {
	r := reader()
	for _, unit := range hostile() {
		for _, before := range []string{"", "LiPo 3S 2200mAh ", "charge ", "("} {
			text := []rune(before + strings.Repeat(unit, 2000))[:2000]
			sound(t, string(text), r.Read(&label.Request{Text: string(text)}))
		}
	}
}

// However rates and words stand on a label, no discharge rating comes out as
// the charge rate.
func TestNoChargeRateIsAboveADischargeRate(t *testing.T) {
	r := reader()
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.SampledFrom([]string{"", "LiPo 3S 2200mAh "}).Draw(t, "before") + strings.Join(rapid.SliceOfN(rapid.SampledFrom([]string{
			"1C", "2C", "5C", "10C", "30C", "45C-90C", "60C", "2.2A", "66A", "12.6V", "charge", "max charge", "charge rate", "charge/discharge", "discharge",
			"continuous", "burst", "max", "recommended", "(", ")", ",", ":", "/", "\n",
		}), 1, 10).Draw(t, "pieces"), " ")
		sound(t, text, r.Read(&label.Request{Text: text}))
	})
}

// A longer list of readings than an answer holds still shows its
// contradictions.
func TestAContradictionBehindManyReadingsIsFound(t *testing.T) {
	a := reader().Read(&label.Request{Text: strings.Repeat("3S ", 600) + "4S LiPo 2200mAh"})
	assert.Len(t, a.Read, 64)
	assert.Nil(t, a.Pack.CellsSeries)
	if assert.Len(t, a.Contradictions, 1) {
		assert.Equal(t, "4S", a.Contradictions[0].Pieces[1].Text)
	}
}

func BenchmarkRead(b *testing.B) {
	r := reader()
	for name, text := range map[string]string{
		"title":    "LiPo 3S1P 11.1V 2200mAh 24.42Wh 30C cont. 60C burst charge rate 5C 185g 14AWG",
		"longest":  strings.Repeat("LiPo 3S 2200mAh 30C burst 60C, ", 64),
		"unnamed":  "thank you for visiting Tern Quay Model Boats",
		"conflict": "LiPo 11.1V 4S 1500mAh 2200mAh 50Wh",
	} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				r.Read(&label.Request{Text: text})
			}
		})
	}
}
