package main

import (
	"fmt"
	"slices"
	"strings"
	"unicode"

	"heirpress/search/place/internal/gaz"
)

const (
	// aliasPopulation is the least population of a town whose further names from
	// GeoNames are kept, and cityPopulation of one whose are all kept. Below they
	// are mostly other languages' transcriptions.
	aliasPopulation = 100_000
	cityPopulation  = 250_000
)

// nameAliases gives the towns their further names: of GeoNames's those worth
// keeping, the short forms of long names, and those of the table below. The
// table's and the plainest short forms count as principal.
func (a *atlas) nameAliases() error {
	for _, e := range a.entries {
		if e.gone {
			continue
		}
		for _, alternate := range e.alternates {
			if plausible(alternate) && e.keeps(alternate) {
				e.alias(alternate, false)
			}
		}
		a.nameShort(e)
	}
	for line := range strings.Lines(principal) {
		if err := a.namePrincipal(strings.TrimSpace(line)); err != nil {
			return err
		}
	}
	return nil
}

// keeps tells whether a further name is worth keeping. In all but cities one
// that differs in a letter from another is not: it is among the near spellings.
func (e *entry) keeps(alternate string) bool {
	if longForm(e.Name, alternate) {
		return true
	}
	return e.Population >= cityPopulation || e.Population >= e.keepsFrom() && e.isNews(gaz.Key(alternate))
}

// isNews tells whether a key is more than a letter off every name the town has.
func (e *entry) isNews(key string) bool {
	for known := range e.Aliases {
		if oneLetterOff(known, key) {
			return false
		}
	}
	return !oneLetterOff(e.key, key)
}

// keepsFrom is how populous a town must be for its further names to be kept: less where signs have two languages, or have letters of their own.
func (e *entry) keepsFrom() int {
	switch e.Country {
	case "IE", "CH", "BE", "LU", "MT", "CY", "FI", "AX":
		return 0
	case "BG", "ES", "GR", "SK":
		return 5000
	case "GB":
		if e.admin1 == "WLS" {
			return 0
		}
	case "IT":
		if e.admin1 == "17" { // Trentino and South Tyrol
			return 0
		}
	}
	if listed(e.Country, homelands) {
		return aliasPopulation
	}
	return cityPopulation
}

// oneLetterOff tells whether one key is the other with a letter put in, taken
// out or changed.
func oneLetterOff(a, b string) bool {
	if len(a) > len(b) {
		a, b = b, a
	}
	if len(b)-len(a) > 1 {
		return false
	}
	i := 0
	for i < len(a) && a[i] == b[i] {
		i++
	}
	return i == len(a) || a[i:] == b[i+1:] || a[i+1:] == b[i+1:]
}

// longForm tells whether one name is the other and what it stands by: Hay and
// Hay-on-Wye, Stein and Stein bei Nürnberg.
func longForm(name, long string) bool {
	short, words := gaz.Words(name), gaz.Words(long)
	n := len(short)
	return len(words) > n+1 && slices.Equal(short, words[:n]) && slices.Contains(besides, words[n])
}

var besides = []string{
	"on", "upon", "in", "under", "by", "near", "next", "the", "am", "an", "im", "bei", "der",
	"sur", "sous", "en", "les", "le", "la", "de", "del", "da", "do", "di", "nad", "a", "aan",
}

// alias adds a further name, unless it folds to the town's own.
func (e *entry) alias(name string, principal bool) {
	key := gaz.Key(name)
	if key == "" || key == e.key {
		return
	}
	if e.Aliases == nil {
		e.Aliases = map[string]bool{}
	}
	e.Aliases[key] = e.Aliases[key] || principal
}

// plausible tells a name from an airport's code or a transcription: it is in
// Latin letters, begins with a capital, and is longer than a code.
func plausible(name string) bool {
	if len(name) < 4 || strings.ToUpper(name) == name {
		return false
	}
	for i, r := range name {
		switch {
		case i == 0 && !unicode.IsUpper(r):
			return false
		case unicode.IsLetter(r) && !unicode.Is(unicode.Latin, r):
			return false
		}
	}
	return true
}

// namePrincipal takes a line of the table: a country and names of one town. The
// most populous town there that has any of them as its own gets the rest.
func (a *atlas) namePrincipal(line string) error {
	if line == "" {
		return nil
	}
	country, list, _ := strings.Cut(line, " ")
	names := strings.Split(list, " = ")
	var best *entry
	for _, name := range names {
		for _, e := range a.byName[country+gaz.Key(name)] {
			if !e.gone && (best == nil || lesser(best, e)) {
				best = e
			}
		}
	}
	if best == nil {
		return fmt.Errorf("gazgen: no town in %s is called any of %s", country, list)
	}
	for _, name := range names {
		best.alias(name, true)
	}
	return nil
}

// principal is written by hand: towns of more than one everyday name, each line
// a country and the names. GeoNames has these names too, but does not say
// which of a town's many are in everyday use.
const principal = `
US New York City = New York = NYC
US Washington = Washington DC = Washington District of Columbia
US San Buenaventura = Ventura
US The Bronx = Bronx
CA Québec = Quebec City = Ville de Québec
CA Trois-Rivières = Three Rivers
CA Happy Valley-Goose Bay = Goose Bay = Happy Valley
MX Heroica Matamoros = Matamoros
MX Mexico City = Ciudad de México = CDMX
GB London = Greater London
GB Kingston upon Hull = Hull
GB Newcastle upon Tyne = Newcastle
GB Cardiff = Caerdydd
GB Newport = Casnewydd
GB Londonderry = Derry
IE Dublin = Baile Átha Cliath
IE Galway = Gaillimh
IE Cork = Corcaigh
IE Limerick = Luimneach
IE Dún Laoghaire = Kingstown
DE Köln = Cologne = Koeln = Keulen
DE Munich = München = Muenchen
DE Nürnberg = Nuremberg = Nuernberg
DE Hannover = Hanover
DE Frankfurt am Main = Frankfurt
DE Frankfurt (Oder) = Frankfurt an der Oder
DE Aachen = Aix-la-Chapelle
DE Trier = Treves
DE Mainz = Mayence
DE Regensburg = Ratisbon
DE Braunschweig = Brunswick
DE Konstanz = Constance
DE Freiburg = Freiburg im Breisgau
DE Halle (Saale) = Halle = Halle an der Saale
DE Lubnjow = Lübbenau
DE Offenbach = Offenbach am Main
DE Ludwigshafen am Rhein = Ludwigshafen
AT Vienna = Wien
AT Klagenfurt am Wörthersee = Klagenfurt
CH Genève = Geneva = Genf
CH Basel = Basle = Bâle
CH Bern = Berne
CH Luzern = Lucerne
CH Sankt Gallen = Saint-Gall
CH Neuchâtel = Neuenburg
CH Fribourg = Freiburg im Üechtland
CH Biel/Bienne = Biel = Bienne
CH Sitten = Sion
CH Brig = Brigue
CH Sierre = Siders
CH Delémont = Delsberg
FR Strasbourg = Straßburg
FR Lyon = Lyons
FR Marseille = Marseilles
FR Reims = Rheims
FR Dunkerque = Dunkirk
FR Mulhouse = Mülhausen
IT Rome = Roma
IT Milan = Milano
IT Turin = Torino
IT Venice = Venezia
IT Florence = Firenze
IT Naples = Napoli
IT Genoa = Genova
IT Padova = Padua
IT Mantova = Mantua
IT Syracuse = Siracusa
IT Livorno = Leghorn
IT Bolzano = Bozen
IT Merano = Meran
IT Bressanone = Brixen
IT Trento = Trent
IT Trieste = Triest
ES Sevilla = Seville
ES Zaragoza = Saragossa
ES Córdoba = Cordova
ES A Coruña = La Coruña = Corunna
ES San Sebastián = Donostia = Donostia-San Sebastián
ES Bilbao = Bilbo
ES Pamplona = Iruña = Pamplona/Iruña
ES Palma = Palma de Mallorca
PT Lisbon = Lisboa
PT Porto = Oporto
NL The Hague = Den Haag = 's-Gravenhage = Hague
NL 's-Hertogenbosch = Den Bosch
NL Vlissingen = Flushing
BE Brussels = Bruxelles = Brussel
BE Antwerpen = Antwerp = Anvers
BE Gent = Ghent = Gand
BE Brugge = Bruges
BE Leuven = Louvain
BE Liège = Luik = Lüttich
BE Mechelen = Malines
BE Kortrijk = Courtrai
BE Namur = Namen
BE Mons = Bergen
BE Tournai = Doornik
BE Oostende = Ostend
BE Ieper = Ypres
LU Luxembourg = Luxemburg = Luxembourg City
DK Copenhagen = København = Koebenhavn
DK Århus = Aarhus
DK Helsingør = Elsinore
DK Ålborg = Aalborg
SE Göteborg = Gothenburg
NO Oslo = Christiania
NO Trondheim = Trondhjem
FI Helsinki = Helsingfors
FI Turku = Åbo
FI Tampere = Tammerfors
FI Espoo = Esbo
FI Vantaa = Vanda
FI Vaasa = Vasa
EE Tallinn = Reval
EE Tartu = Dorpat
LT Vilnius = Wilno
LT Kaunas = Kovno
LT Klaipėda = Memel
PL Warsaw = Warszawa = Warschau
PL Kraków = Cracow = Krakau
PL Wrocław = Breslau
PL Gdańsk = Danzig
PL Poznań = Posen
PL Szczecin = Stettin
CZ Prague = Praha = Prag
CZ Brno = Brünn
CZ Pilsen = Plzeň
CZ Olomouc = Olmütz
SK Bratislava = Pressburg
SK Košice = Kaschau
HU Győr = Raab
SI Ljubljana = Laibach
SI Maribor = Marburg an der Drau
HR Zagreb = Agram
HR Dubrovnik = Ragusa
RS Belgrade = Beograd
RS Novi Sad = Neusatz
RO Bucharest = București
RO Cluj-Napoca = Cluj = Klausenburg = Kolozsvár
RO Braşov = Kronstadt
RO Sibiu = Hermannstadt
RO Timişoara = Temesvár
BG Sofia = Sofiya
GR Athens = Athína = Athinai
GR Thessaloníki = Salonica = Salonika
GR Pátra = Patras
GR Piraeus = Peiraiás = Pireas
CY Nicosia = Lefkosia = Lefkoşa
CY Limassol = Lemesos
MT Valletta = Il-Belt Valletta
UA Kyiv = Kiev
UA Lviv = Lvov = Lwów = Lemberg
UA Kharkiv = Kharkov
UA Odessa = Odesa
UA Dnipro = Dnipropetrovsk
UA Chernivtsi = Czernowitz
BY Minsk = Mensk
RU Moscow = Moskva = Moskau
RU Saint Petersburg = Sankt-Peterburg = Leningrad = Petrograd
RU Kaliningrad = Königsberg
MD Chişinău = Kishinev
TR Istanbul = Constantinople
TR Antakya = Hatay
TR İzmir = Smyrna
CN Beijing = Peking
CN Guangzhou = Canton
IN Mumbai = Bombay
IN Kolkata = Calcutta
IN Chennai = Madras
IN Bengaluru = Bangalore
VN Ho Chi Minh City = Saigon
MM Yangon = Rangoon
EG Cairo = Al Qahirah
EG Alexandria = Al Iskandariyah
ES Gasteiz / Vitoria = Vitoria = Vitoria-Gasteiz = Gasteiz
`
