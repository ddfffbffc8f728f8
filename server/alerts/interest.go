package alerts

import (
	"math"
	"slices"
	"strconv"

	"google.golang.org/protobuf/types/known/timestamppb"

	pb "heirpress/proto/heirpress/v1"
	"heirpress/search"
	"heirpress/search/place"
	"heirpress/search/standing"
	"heirpress/server/record"
	"heirpress/server/store"
)

// What is told of who looks for a lot; interest.proto says why so little.
var bandMiles = []int32{100, 200, 500}

// leastInBand is how many seekers are told of together with how near they are.
const leastInBand = 3

// Interest tells who looks for a lot, by the wants that stand.
func (m *Matcher) Interest(lot *pb.Lot) *pb.Interest {
	return interestOf(lot, m.wants.meeting(search.Read(lot), nil))
}

// interestOf counts the lists that a lot meets, each once, as near as the nearest
// of its wants.
func interestOf(lot *pb.Lot, met []standing.Met) *pb.Interest {
	var all, near = 0, make([]int, len(bandMiles))
	for i := 0; i < len(met); {
		list, miles := met[i].List, math.Inf(1)
		for ; i < len(met) && met[i].List == list; i++ {
			if km := met[i].RoadKm; !math.IsNaN(km) {
				miles = min(miles, km/place.KmPerMile)
			}
		}
		all++
		for band, most := range bandMiles {
			if miles <= float64(most) {
				near[band]++
			}
		}
	}
	return &pb.Interest{
		Lot: lot.GetName(), Tag: lot.GetTag(), LotTitle: lot.GetTitle(), Seekers: told(all), Bands: bandsOf(near),
	}
}

// bandsOf tells of each distance, unless it tells nothing more than a narrower.
func bandsOf(near []int) (bands []*pb.InterestBand) {
	last := int32(0)
	for i, n := range near {
		if seekers := told(n); n >= leastInBand && seekers > last {
			bands = append(bands, &pb.InterestBand{WithinRoadMiles: bandMiles[i], Seekers: seekers})
			last = seekers
		}
	}
	return bands
}

// toldNumbers are the numbers of seekers that are told.
var toldNumbers = []int{0, 1, 3, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000, 100_000, 200_000, 500_000, 1_000_000}

// told rounds a number of seekers down to one that is told.
func told(n int) int32 {
	i, exact := slices.BinarySearch(toldNumbers, n)
	if !exact {
		i--
	}
	return int32(toldNumbers[i])
}

// noticesOf is the notice to a lot's keeper, if anybody looks for it. That it was
// made before is found when it is kept.
func noticesOf(lot *pb.Lot, met []standing.Met) []*pb.Notice {
	interest := interestOf(lot, met)
	if interest.GetSeekers() == 0 {
		return nil
	}
	return []*pb.Notice{{Name: noticeName(interest), Shop: search.ShopOf(lot.GetName()), Interest: interest}}
}

// noticeName is the same for a lot and a number of seekers.
func noticeName(i *pb.Interest) string {
	return "notices/" + nameOf(i.GetLot(), strconv.Itoa(int(i.GetSeekers())))
}

// noticed are the notices to the keepers of lots that wants have newly met.
func (m *Matcher) noticed(alerts []meeting) (notices []*pb.Notice) {
	seen := map[string]bool{}
	for _, one := range alerts {
		if name := one.lot.GetName(); !seen[name] {
			seen[name] = true
			notices = append(notices, noticesOf(one.lot, m.wants.meeting(search.Read(one.lot), nil))...)
		}
	}
	return notices
}

// noticeRecord is a notice as it is kept.
func noticeRecord(tx store.Tx, n *pb.Notice) (store.Record, error) {
	n.CreateTime = timestamppb.New(tx.Now())
	body, err := record.Body(n)
	return store.Record{Name: n.GetName(), Collection: store.Notices, Parent: n.GetShop(), Open: true, Body: body}, err
}
