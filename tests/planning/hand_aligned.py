"""Plans as careful people lay them out: columns, tables, remarks, odd indentation.

Invented for the tests; the hall is Larkfield Hall.
"""

COLUMNS = """\
# Larkfield Hall, Thursdays.          Kept by Maud.

title:      Thursday at Larkfield Hall      # the usual group
coaching:   clock                           # I talk myself
pace:       calm                            # for the back row
bring:      [a sturdy chair,  water]        # and a towel

group:
    age:    78
    facts:  [new,  new hip]

#------------------------------------------------------------------
warm-up:
    for:        5 min
    movements:
        - easy march:           90 s        # feet first
        - shoulder roll                     # then shoulders
        - ankle pump

#------------------------------------------------------------------
intervals:
    work:       40 s        # brisk
    rest:       20 s        # easy
    rounds:     2           # three in summer
    movements:
        - heel dig
        - straight punch:       45 s        # longer, they like it
        - movement:   biceps curl
          how:        Bend the elbows, then lower slowly.
          easier:     leave the weights in your lap
        # the last one
        - toe tap side

#------------------------------------------------------------------
cool-down:
    for:        5 min
    movements:
        - slow march:           2 min
        - chest stretch:        60 s
        - calf stretch:         2 min
"""

TABLE = """\
title: "Tuesday, in a table"
warm-up: {for: 5 min, movements: [easy march, shoulder roll,
                                  # the feet
                                  ankle pump, heel lift]}
intervals:
  {work: 30 s, rest: 30 s, rounds: 2, movements: [
    {movement: heel dig,        for: 40 s, rest: 20 s},   # legs
    {movement: straight punch,  for: 30 s, rest: 30 s},   # arms
    {movement: knee lift,       for: 40 s, rest: 20 s},   # legs
    {movement: biceps curl,     for: 30 s, rest: 30 s},   # arms
  ]}
cool-down: [easy march: 2 min,  toe tap: 1 min,  chest stretch: 1 min,
            calf stretch: 1 min]
"""

ODD = """\
'title'  :   'It''s Friday'
# who comes
group: new
bring:
- 'a chair'     # sturdy
- water

warm-up:

 - easy march

 # slowly
 - shoulder roll

 - ankle pump
intervals:
     movements:
     -   heel dig
     #   lift the toes
     -   movement:  knee lift
         sides:  [left knee,
                  right knee]
         form:
         - sit tall
         -   "breathe"
     - {toe tap side: {for: 45 s,   rest: 25 s}}

     work:  35 s
     rest:  25 s
     cues:
     -  at:  halfway
        say: >-
           Half of it is done,
           well done.
cool-down:   # the end
    movements:
          -   slow march :  2 min
          -   chest stretch
          -   calf stretch"""

LISTED = """\
# Two hard parts, one easy one between.
title: Monday twice round

sections:

  - welcome: {for: 1 min, say: [Good morning., "Chairs: feet flat?"]}

  # ---- first half ----
  - warm-up:
      for: 4 min
      movements: [easy march, shoulder roll, ankle pump]   # all three

  - intervals:
      title:  Legs
      work:   30 s
      rest:   30 s
      movements:
        - heel dig            # toes up
        - knee lift           # not high

        - toe tap side        # small steps

  - recovery: 90 s

  # ---- second half ----
  - intervals:
      title:  Arms
      work:   30 s
      rest:   30 s
      between rounds: {for: 75 s,   with: easy march}
      movements:
        - straight punch
        - biceps curl

  - cool-down:
      - slow march: 2 min
      - chest stretch: 1 min

  - close: 45 s
"""

PLANS = {
    "columns": COLUMNS,
    "table": TABLE,
    "odd": ODD,
    "odd, other line ends": ODD.replace("\n", "\r\n"),
    "listed": LISTED,
}
