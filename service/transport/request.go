// Package transport answers how packs may be carried or shipped: by a passenger
// in the air, as air cargo, or by road. It works out the watt hours of every pack
// and leaves what may travel to the rules.
package transport

import (
	"strconv"

	"github.com/wattkeel/wattkeel/service/spec"
)

// Request asks how packs may travel.
type Request struct {
	// Packs lists the packs, 1 to 200; every entry is one pack, so two of a kind are two entries.
	Packs []spec.Pack `json:"packs" validate:"required,min=1,max=200,dive"`
	// Mode says how they travel.
	Mode spec.TransportMode `json:"mode" validate:"required,enum"`
	// Installed says whether the packs travel in the equipment they run (true) or as spares outside it (false). Left out, rules that depend on it are not evaluated.
	Installed *bool `json:"installed,omitempty"`
	// PackedWithEquipment says that spares are shipped in one package with the equipment they run. Left out, they are taken as shipped alone. It matters by air_cargo only.
	PackedWithEquipment bool `json:"packed_with_equipment,omitempty"`
	// AsOf is the day of the journey: rules of law are judged as they hold on it. Left out, the newest that are known are taken.
	AsOf spec.Date `json:"as_of,omitempty" validate:"omitempty,datetime=2006-01-02"`
}

// Check reports contradictions between the fields of the request.
func (q *Request) Check(at string, r *spec.Report) {
	for i := range q.Packs {
		p := at + "/packs/" + strconv.Itoa(i)
		q.Packs[i].Check(p, r)
		q.Packs[i].CheckAsOf(p, q.AsOf, r)
	}
	if q.Installed != nil && *q.Installed && q.PackedWithEquipment {
		r.Add(at+"/packed_with_equipment", "installed-or-beside", "installed says that the packs are in their equipment, and packed_with_equipment that they are beside it; keep one")
	}
}
