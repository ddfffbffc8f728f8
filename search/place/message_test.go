package place

import "testing"

func TestMessage(t *testing.T) {
	town, err := Find("Leeds, England")
	if err != nil {
		t.Fatal(err)
	}
	m := town.Message()
	if m.GetLabel() != town.Label() || m.GetName() != "Leeds" || m.GetCountryCode() != "GB" ||
		m.GetPoint().GetLatitude() != town.Point.Lat || m.GetPoint().GetLongitude() != town.Point.Lng || m.GetRegion() != town.Region || m.GetCounty() != town.County {
		t.Errorf("%v of %+v", m, town)
	}
	town.RegionName, town.Population = "", 0 // Those are not carried.
	if back := TownOf(m); back != town {
		t.Errorf("%+v came back as %+v", town, back)
	}
}

func TestIsCoordinates(t *testing.T) {
	for text, want := range map[string]bool{
		"39.76,-84.19": true, " 39.76 -84.19 ": true, "39.76N, 84.19W": true, "near 39.8,-84.2": true,
		"Dayton, OH": false, "45402": false, "": false, "12 line": false,
	} {
		if got := IsCoordinates(text); got != want {
			t.Errorf("IsCoordinates(%q) = %v", text, got)
		}
	}
}
