package place

import pb "heirpress/proto/heirpress/v1"

// Message is the town as the contract carries it.
func (t Town) Message() *pb.Town {
	return &pb.Town{
		Name: t.Name, Region: t.Region, County: t.County, CountryCode: t.Country, Label: t.Label(),
		Point: &pb.Point{Latitude: t.Point.Lat, Longitude: t.Point.Lng},
	}
}

// TownOf is the town that the contract carries. Its region's full name and its
// population, which are not carried, are empty.
func TownOf(t *pb.Town) Town {
	return Town{
		Name: t.GetName(), Region: t.GetRegion(), County: t.GetCounty(), Country: t.GetCountryCode(), CountryName: countryName(t.GetCountryCode()),
		Point: Point{Lat: t.GetPoint().GetLatitude(), Lng: t.GetPoint().GetLongitude()},
	}
}
