"""Wording: the rules of our sentences and messages. Written for this project; nobody in them is anybody.

Short words come in every rule, so that a class of eight letters can have sentences, too.
"""

from __future__ import annotations

from copyroom.core.grammar import Rules, rules

SENTENCES: Rules = rules(
    """
sentence: {they} {do} | {one} {do:s} | {one} {do:past} | {they} {do:past} | I {do} | WE {do} | WE {do:past}
  | {fact} | {fact} | {fact} | {gear} IS {at} | {gears} ARE {at} | {gear} WAS {at} | {carrier} IS {halt}
  | {gears} WERE {gearstate} {day} | {order} | {order} {when} | {sky} | {sky} {day} | YES {fact}
  | THERE IS {seen} {at} | THERE WAS {seen} {at} {day} | {one} IS {mood} | {they} ARE {mood} | I AM {mood}
  | WE ARE {at} | I AM {at} | HE IS {at} | SHE IS {at} | {one} IS {at} | {they} ARE {at} | {one} HAS {goods}
  | {they} HAVE {goods} | I HAVE {goods} | WE NEED {goods} | I NEED {goods} {when} | IT IS {hour}
  | IT IS {hour} AND {sky} | NO ONE IS {at} | {one} AND I {do} | IF IT RAINS WE {stay}
  | WHEN IT IS {hour} WE {do} | {one} SAYS {fact} | I HEAR {noise} {at} | WE HEARD {noise} {day}
  | I SEE {seen} {at} | WE SAW {seen} {day} | {gear} IS FOR {whom} | THIS IS {seen} | THAT IS {mine}
  | {mine} IS {at} | {mine} IS {gearstate} | IS {gear} {gearstate}? | IS {meal} {mealstate}?
  | IS {carrier} {carstate}? | IS {gate} {gatestate}? | IS {one} {at}? | WHERE IS {gear}?
  | WHERE IS {carrier}? | WHO HAS {gear}? | ARE {they} {at}? | WHEN DO WE {to}? | HAS {one} {goods}?
  | CAN {one} {do}?
to: EAT | MEET | START | GO HOME | SEND THE TEST
one: HE | SHE | {name} | THE COOK | MY SISTER | OUR GUIDE | THE LEADER | A FRIEND | THE PILOT | MY SON
  | MY AUNT | THE OLD MAN | THE BOY | THE GIRL | THE DOCTOR | THE TEACHER | MY MOTHER | YOUR BROTHER
  | THE WATCHMAN | THE FERRYMAN | A MAN | A WOMAN | THE NEW OPERATOR | THE DRIVER | MY UNCLE | THE MATE
  | A SCOUT
they: THEY | THE MEN | THE GIRLS | THE BOYS | MY FRIENDS | TWO SCOUTS | THE TWINS | ALL OF THEM | OUR TEAMS
  | THE OTHERS | SIX OF US | THE CHILDREN | SOME MEN | TEN GUESTS | NINE MEN | {name} AND THE COOK
  | {name} AND A MATE | {name} AND MY SISTER
name: ANNA | TOM | NINA | EMIL | NORA | OTTO | MIA | TIM | RITA | HUGO | SANA | IAN | ELSE | PAVEL | JUNE
  | KOFI | YARA | LARS | OMAR | DINA | VERA | ANTON | MEI | RAVI | ZOE | TESS | NED | SAM | AMINA | BORIS
  | QUIN
do: {stay} | {rest} {at} | {bring} {goods} TO {place} | {bring} {goods} | {read} {text} | {read} {text} {at}
  | MEET/MEETS/MET {one_met} {at} | SEND/SENDS/SENT {goods} TO {place} | {go} TO {place}
  | {go} TO {place} {when} | EAT/EATS/ATE {food} | EAT/EATS/ATE {food} {at} | MAKE/MAKES/MADE {food}
  | MEND/MENDS/MENDED {kit} | FIND/FINDS/FOUND {kit} {at} | HEAR/HEARS/HEARD {noise}
  | SEE/SEES/SAW {seen} {at} | TEST/TESTS/TESTED {kit} | WAIT/WAITS/WAITED FOR {whom} {at}
  | LIKE/LIKES/LIKED {food} | TIE/TIES/TIED {kit} TO A TREE | LISTEN/LISTENS/LISTENED {at}
  | CARRY/CARRIES/CARRIED {kit} TO {place} | OPEN/OPENS/OPENED THE {door} | LOOK/LOOKS/LOOKED FOR {kit}
  | ASK/ASKS/ASKED FOR {goods} | WRITE/WRITES/WROTE {text} | SING/SINGS/SANG {at} | LIGHT/LIGHTS/LIT {light}
  | NOTE/NOTES/NOTED THE TIME
stay: STAY/STAYS/STAYED {at} | WAIT/WAITS/WAITED {at} | SIT/SITS/SAT {at} | REST/RESTS/RESTED {at}
rest: SLEEP/SLEEPS/SLEPT | EAT/EATS/ATE | STAND/STANDS/STOOD | MEET/MEETS/MET | WORK/WORKS/WORKED
go: GO/GOES/WENT | WALK/WALKS/WALKED | RUN/RUNS/RAN | RIDE/RIDES/RODE | ROW/ROWS/ROWED | COME/COMES/CAME
bring: BRING/BRINGS/BROUGHT | TAKE/TAKES/TOOK | LEND/LENDS/LENT
read: READ/READS/READ | HAVE/HAS/HAD | KNOW/KNOWS/KNEW
text: A NOTE | THE MAP | A LETTER | THE LIST | A BOOK | THE SIGN | THE NEWS | THE LOG | THE ITEMS
  | A MESSAGE
one_met: {name} | THE TEAM | A FRIEND | THE MEN | THE BUS | OUR GUIDE | AN OLD MATE | THE TRAIN
whom: {name} | US | ME | THE TEAM | THE BOAT | THE MEN | THE COOK | ALL | THE FERRY | THE OTHERS
fact: {gear} IS {gearstate} | {gears} ARE {gearstate} | {meal} IS {mealstate} | {carrier} IS {carstate}
  | {gate} IS {gatestate} | {place_seen} IS {far}
gear: THE TENT | THE RADIO | THE OLD MAP | THE KITE | THE TIN | THE MAST | THE NET | THE WIRE | THE STOVE
  | THE LAMP | THE KEY | THE ROPE | THE ANTENNA | THE BATTERY | THE COMPASS | THE CANOE | THE SAW | IT
  | A TENT | A NOTE | A SEAT
gears: THE TENTS | THE NOTES | THE BOOTS | THE MAPS | OUR BIKES | THE MASTS | TEN TINS | THE LAMPS
  | THE PEGS | THE KNOTS | THE OARS | ALL ITEMS | THE BELLS | THE JARS | BOTH KEYS | THE MATS | SIX TENTS
gearstate: WET | DRY | OLD | NEW | LOST | SAFE | IN USE | TOO HEAVY | NEAT | CLEAN | BROKEN | NOT MINE
  | MISSING | MENDED | QUITE NEW | HERE | MUDDY | FOR TOM | IN A BOX | NOT HERE
meal: THE TEA | THE SOUP | THE STEW | THE BREAD | OUR LUNCH | THE RICE | THE PIE | THE WATER | THE MEAT | IT
mealstate: HOT | COLD | READY | NOT READY | GOOD | ON THE STOVE | IN THE TIN | TOO HOT | FOR US | LATE
carrier: THE TRAIN | THE BUS | THE BOAT | THE FERRY | A TRAIN | OUR BUS | THE MAIL VAN
carstate: LATE | FULL | EMPTY | ON TIME | NEAR | HERE | GONE | NOT IN | SLOW | IN SIGHT | EARLY
gate: THE GATE | THE DOOR | THE HUT | THE INN | THE STATION | THE BRIDGE | OUR CAMP | THE QUAY | THE MILL
  | THE SHED
gatestate: OPEN | SHUT | EMPTY | CLOSED TODAY | IN SIGHT | FULL | NEAR | OPEN AT NINE | NOT FAR
place_seen: THE SEA | THE LAKE | THE HILL | THE TOWN | THE INN | THE ISLE
far: NEAR | NOT FAR | TEN MILES OFF | IN SIGHT | IN THE EAST | TOO FAR
halt: AT THE STATION | IN TOWN | NEAR THE SEA | HERE | ON THE BRIDGE | IN THE RAIN | NOT HERE | BY THE RIVER
mine: MY TENT | MY HAT | OUR TENT | YOUR BIKE | MY SEAT | HIS COAT | HER MAP | MY NOTE | OUR NET | HIS TIN
kit: THE TENT | A NET | THE OLD MAST | THE WIRE | A ROPE | THE KITE | A LAMP | THE BOAT | A TIN | THE SAIL
  | THE ANTENNA | A BOX | THE KEY | THE FUSE | A FLAG | THE PUMP | A MAST | THE MATS | THE VALVE
mood: TIRED | AWAKE | WELL | AT EASE | LATE | HAPPY | READY | ALONE | NOT IN | BUSY | ASLEEP | IN TIME
  | HUNGRY
at: HERE | AT HOME | ON THE HILL | BY THE RIVER | IN THE RAIN | NEAR THE SEA | IN TOWN | AT THE STATION
  | IN A TENT | OUTSIDE | IN THE SHED | ON THE ROAD | AT SEA | IN THE EAST | AT THE INN | ON A MAT
  | NEAR THE MAST | IN CAMP | UNDER THE OAK | BEHIND THE BARN | ON THE BRIDGE | AT THE GATE | IN THE WOODS
  | BY THE FIRE | ON THE ISLE | ON THE SHORE | BESIDE THE POND | IN THE KITCHEN | ON DECK | AT THE WELL
  | IN THE MIST | BEYOND THE LOCK
place: CAMP | TOWN | THE HILL | THE TENT | THE STATION | THE LAKE | THE SEA | THE INN | THE GATE | THE TEAM
  | THE MAST | THE FERRY | THE BRIDGE | THE MILL | THE QUAY | THE VILLAGE | THE NEXT ISLE | THE FARM
  | THE NORTH FIELD
when: AT NOON | AT NINE | AT TEN | AT SIX | TODAY | SOON | ON TIME | IN MAY | ON SUNDAY | ON MONDAY
  | AT ONCE | BEFORE DARK | AFTER LUNCH | AT DAWN | TONIGHT | AT TEA TIME | NEXT WEEK | IN AN HOUR
  | EVERY DAY
day: TODAY | THIS MORNING | LAST NIGHT | ON SUNDAY | AT NOON | IN JUNE | AT DAWN | AT NINE | AT TEN
  | ON FRIDAY
hour: NOON | NINE | TEN | SIX | LATE | TIME TO EAT | TIME FOR TEA | NEARLY SEVEN | DARK | NOT YET FIVE
order: COME {at} | WAIT {at} | BRING {goods} | SEND {goods} | MEET {one_met} {at} | SIT {at}
  | LISTEN TO {whom} | GO TO {place} | TEST {kit} | SHUT THE {door} | TAKE {kit} TO {place} | READ {text}
  | NOTE THE TIME | LIGHT {light} | DO NOT WAIT FOR {whom} | STAY {at} | EAT {food} | TURN OFF THE LAMP
  | SEND A NOTE TO {whom}
door: GATE | DOOR | TENT | BOX | HATCH | LOCK | SHED
light: THE LAMP | A FIRE | THE STOVE | A CANDLE
goods: TEA | TEN TENTS | WIRE | MORE TEA | SIX MAPS | A NET | ROPE AND PEGS | A LAMP | AN OAR | TWO TINS
  | A SET | SOME BREAD | FRESH WATER | DRY WOOD | A BATTERY | NAILS | FIVE BLANKETS | A KETTLE | NEW BOOTS
  | AN AXE | JAM
food: TEA | SOUP | AN EGG | BREAD AND JAM | A STEAK | HOT STEW | AN APPLE | RICE | NUTS | PEAS
  | THE LAST PIE | OATS
noise: A BELL | A TONE | THE SEA | A TRAIN | A HEN | THE RAIN | AN OWL | A HORN | A WEAK SIGNAL | THE WIND
  | A VOICE
seen: A BOAT | A TREE | A STONE | A TENT | TEN SHEEP | A MOON | A SNAKE | AN OX | A FOX | SMOKE | A RED KITE
  | A NEST | A LIGHT | THE FIRST STAR | AN OLD MILL | A ROAD | AN INN | ICE | A QUICK BIRD | A JETTY
  | NO ONE
sky: IT RAINS | IT SNOWS | RAIN IS NEAR | THE SUN IS OUT | THE MIST IS THIN | THE WIND TURNS WEST
  | IT IS HOT | THE NIGHT IS CLEAR | A STORM IS NEAR | THE SEA IS CALM | THE MOON IS UP | IT IS COLD
  | FOG COMES IN | ICE MELTS
"""
)
"""Each makes one sentence of the rule "sentence", without its stop."""

MESSAGES: Rules = rules(
    """
message: {arrive} | {send} | {meet} | {state} | {need} | {delay} | {send} {state} | {arrive} {need} | {ask}
  | {state} {need} | {weather} | {weather} {delay} | {lost}
arrive: ARRIVE {when} AT {place} | ARRIVING {day} WITH {many} SCOUTS | WE REACH {place} {day} {when}
  | {name} AND TEAM {many} ARRIVE BY {way} {when} | EXPECT US AT {place} {when}
send: SEND {goods} TO {place} | SEND {goods} BY {way} {day} | PLEASE BRING {goods} TO {place} {when}
  | LEAVE {goods} AT {place}
meet: MEET {name} AT {place} {when} | ALL MEET AT {place} {day} {when} | TEAM {many} MEETS AT {place}
state: CAMP IS DRY ALL ARE WELL | ALL {many} ARE WELL | TENTS ARE UP AND TEA IS READY
  | REACHED {place} {when} | PATH TO {place} IS OPEN | EXERCISE ENDED {when} ALL SAFE
  | RADIO AT {place} WORKS WELL
need: NEED {goods} FOR {day} | WE ARE SHORT OF {stuff} | CAN YOU SPARE {goods}
  | NEED {stuff} {day} NOT LATER
delay: {way_the} IS LATE WAIT FOR US | DELAYED BY {sky} START {when} | NO {way} TODAY COME BY {way}
ask: HOW MANY TENTS ARE AT {place} | WHEN DOES {way_the} REACH {place} | IS {place} OPEN {day}
  | WHO HAS {stuff} TO SPARE
weather: {sky} OVER {place} SINCE {hour} | {sky} EXPECTED {day} STAY AT {place}
lost: FOUND {many} BLANKETS AT {place} | BOX {many} IS MISSING SINCE {day} | KEY OF {place} LEFT WITH {name}
name: TOM | ANNA | EMIL | NORA | STEN | MAYA | OTTO | RITA | HUGO | ENID | JONAS | VERA | KOFI | AMINA
  | LENA
place: THE STATION | NORTH GATE | THE FERRY | CAMP TWO | THE OLD MILL | SOUTH FIELD | THE QUAY | HILL THREE
  | THE BRIDGE | THE BOATHOUSE | LAKE CAMP | THE BARN | EAST ROAD | THE FORD | THE KITCHEN TENT
when: AT NOON | AT NINE | AT 0830 | AT 1415 | BEFORE DARK | AT 1700 | AFTER LUNCH | AT DAWN | AT 2130
  | AT ONCE
hour: NOON | 0600 | 1120 | DAWN | YESTERDAY | 1940
day: SUNDAY | MONDAY | TODAY | TOMORROW | FRIDAY | TUESDAY | TONIGHT
goods: TWO TENTS | MORE TEA AND WIRE | SIX MAPS | 24 PEGS | BREAD FOR {many} | DRY WOOD | A SPARE KEY
  | 3 LAMPS | TEN BLANKETS | FRESH WATER | FIRST AID BOX | NEW BATTERY | 50 M ROPE | JAM AND OATS
stuff: TEA | ROPE | WIRE | WATER | BREAD | WOOD | PEGS | OIL | SOUP | MATCHES
many: 8 | 12 | 15 | 27 | 36 | 40 | NINE | SIX | 4
way: BUS | TRAIN | FERRY | BIKE | BOAT | ROAD | CANOE
way_the: TRAIN | THE BUS | FERRY 7 | THE BOAT | BUS 12
sky: RAIN | FOG | SNOW | STRONG WIND | STORM | HAIL
"""
)
"""Each makes one text of the rule "message", without figures that a rule cannot know."""

NAMES = """
    TOM ANNA EMIL NORA STEN MAYA OTTO RITA HUGO ENID IAN MIA NINA OMAR SANA TIM AMIT LENA JONAS VERA KOFI
    AMINA LARS ELSA PAUL IDA JUAN INES PEDRO MEI KEN YUKI RAVI DINA ANTON OLGA BORIS TESS SAM ZOE NED JUNE
    KATE MARK FRED GWEN ALAN RUTH CARL EVA PETER SUSAN DAVID LINDA JACK QUENTIN XENIA VIKTOR HANNA MATEO
    AISHA BRUNO FINN
""".split()
_TOWN_BEGINS = """
    OSTRI TARNO MERI ELTHU SIMBA NANDO KELVO VARNI ILMO SUTRA DORVE QUELA FENDI HAZMO JORVI LUMBE PELTRA
    ROVINA UXBRI WENDRO YASMO ZELKA BRASTO CANTHE GILVA
""".split()
_TOWN_ENDS = "NEA VEL DASK NAR RET REK LUND MOTH TIA VIK SAND QUIL GARTH BEX FOLM JUR".split()
TOWNS = tuple(begin + end for begin in _TOWN_BEGINS for end in _TOWN_ENDS)
"""Invented places, made of sounds rather than of words; one may by accident be somewhere."""

OVERS = (
    ("CQ CQ DE {ours} {ours} K", "CQ CQ CQ DE {ours} {ours} K"),
    ("{here} {theirs} K", "{here} K"),
    (
        "{there} = {greeting} = UR RST {report} = NAME {name} = QTH {town} = HW? + {there} K",
        "{there} = {greeting} TNX FER CALL = RST {report} {report} = OP {name} {name} = QTH {town} + K",
        "{there} = {greeting} OM = UR {report} IN {town} = NAME HR {name} = HW CPY? + {there} K",
        "{there} = R {greeting} = RST {report} = QTH NR {town} = OP {name} + {there} K",
    ),
    (
        "R = TNX {name} = UR RST {back} = NAME {other} = WX {sky} + {here} K",
        "R {greeting} {name} = RST {back} = QTH {far} = OP {other} = HW? + {here} K",
        "R FB {name} = UR {back} ES {other} HR = ANT {antenna} = PWR {watts} W + {here} K",
        "R R = TNX RPT = {other} AT {position} = WX {sky} TEMP {degrees} C + {here} K",
    ),
    (
        "R TNX {other} = RIG {watts} W TO {antenna} = WX {sky} {degrees} C + {there} K",
        "FB {other} = HR {position} = {many} SCOUTS LISTEN = BK TO U + {there} K",
        "R = SRI QRM = PSE AGN UR QTH? + {there} K",
    ),
    (
        "{there} = TNX FER CALL = 73 ␄",
        "{there} = TNX {other} FER QSO = CUAGN = 73 ␄",
        "{there} = VY 73 ES GL {other} ␄",
        "{there} = TNX ES 73 ␄",
    ),
)
"""The overs of a contact in order, each in several wordings; the fifth is left out of a short one."""
OVER_WORDS = {
    "greeting": "GM|GA|GE",
    "sky": "RAIN|SUN|WIND|MIST|SNOW|FAIR|FOG|CLEAR|CLOUDY|HAIL|WARM|COLD ES DRY|SUN ES WIND|STORM NEAR",
    "report": "599|589|579|569|559|549|459|449|339|338|577",
    "back": "599|589|579|569|559|549|459|449|339|338|577",
    "antenna": "DIPOLE|LONG WIRE|VERTICAL|LOOP|GP|WIRE 12 M UP|INV V",
    "position": "HILL TOP|CAMP|CLUB ROOM|SCHOOL|BOAT|TENT|HOME|LAKE SIDE",
    "watts": "5|10|15|20|25|40|50|60|80|90|100",
    "degrees": "MINUS 8|MINUS 2|1|4|7|9|13|16|18|20|22|25|28|31",
    "many": "3|4|6|7|9|12|15|18|20|26",
    "name": "|".join(NAMES),
    "other": "|".join(NAMES),
    "town": "|".join(TOWNS),
    "far": "|".join(TOWNS),
}
"""What stands in their braces, besides the two calls."""
