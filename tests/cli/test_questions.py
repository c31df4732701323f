"""Sheets as hobbyists keep them go in by questions alone."""

from __future__ import annotations

import csv
import re
import tomllib
from collections import Counter
from datetime import date
from pathlib import Path

import openpyxl
import pytest

from rodhours.log.frames import stint_frame
from rodhours.log.logbook import open_logbook
from terminal import at_a_terminal

YES = "\n"
"""Enter takes the first answer."""
LB = 0.45359237
"""Kilograms of a pound, exact (NIST SP 811)."""

SHEETS = {
    # Wide by rod, blanks as dashes and empty cells, a spelling in two ways, totals.
    "wide": (
        "Date,Lake,Hours,Rod 1 bait,Rod 1 fish,Rod 2 bait,Rod 2 fish,Comments\n"
        "05/04/2025,Alder Mere,24,Plain,1,Pellet,,windy\n"
        "26/04/2025,Reed Pit,12,plain,-,-,,\n"
        "Total,,36,,1,,0,\n",
        YES * 2,
        [
            ("2025-04-05", "Alder Mere", "1", "Plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", "2", "Pellet", 24.0, 0),
            ("2025-04-26", "Reed Pit", "1", "Plain", 12.0, 0),
        ],
    ),
    # One row a trip with lists; nothing is undecided.
    "lists": (
        "Trip date,Water,Hours,Baits,Caught\n"
        'Sat 5 April 2025,Alder Mere,24 x 2,"plain, pellet","2, 1"\n'
        'Sun 13 April 2025,Reed Pit,12,"pellet, plain, plain",0\n'
        'Sun 20 April 2025,Reed Pit,6,"pellet, plain","0, 1"\n',
        "",
        [
            ("2025-04-05", "Alder Mere", "1", "plain", 24.0, 2),
            ("2025-04-05", "Alder Mere", "2", "pellet", 24.0, 1),
            ("2025-04-13", "Reed Pit", "1", "pellet", 12.0, 0),
            ("2025-04-13", "Reed Pit", "2", "plain", 12.0, 0),
            ("2025-04-13", "Reed Pit", "3", "plain", 12.0, 0),
            ("2025-04-20", "Reed Pit", "1", "pellet", 6.0, 0),
            ("2025-04-20", "Reed Pit", "2", "plain", 6.0, 1),
        ],
    ),
    # A diary over New Year: no years, month titles, remark rows, several weights in a cell.
    "diary": (
        "Date,Where,Bait,Hours,Fish,Weights,Remarks\n"
        "November,,,,,,\n"
        "9 Nov,Alder Mere,plain,10,1,22lb 4oz,cold\n"
        '9 Nov,Alder Mere,pellet,10,3,"18lb, 19lb 2oz",\n'
        "14 Dec,Alder Mere,plain,8,blank,,\n"
        "Lake frozen until the new year\n"
        "4 Jan,Reed Pit,pellet,6,1,9lb,\n",
        "2024\n" + YES,
        [
            ("2024-11-09", "Alder Mere", None, "plain", 10.0, 1),
            ("2024-11-09", "Alder Mere", None, "pellet", 10.0, 3),
            ("2024-12-14", "Alder Mere", None, "plain", 8.0, 0),
            ("2025-01-04", "Reed Pit", None, "pellet", 6.0, 1),
        ],
        [9 * LB, 18 * LB, 19.125 * LB, 22.25 * LB],  # one fish of the five was not weighed
    ),
    # A title, two rows of names, a remark between the trips, sums without a word below them.
    "two rows of names": (
        "My fishing,,,,,,,\n,,Rod 1,,,Rod 2,,\n"
        "Date,Lake,Bait,Hours,Fish,Bait,Hours,Fish\n"
        "01/05/2025,Alder Mere,plain,24,1,pellet,24,0\n"
        "no trip this week,,,,,,,\n"
        "22/05/2025,Reed Pit,pellet,12,,plain,12,2\n"
        ",,,36,1,,36,2\n",
        YES,
        [
            ("2025-05-01", "Alder Mere", "1", "plain", 24.0, 1),
            ("2025-05-01", "Alder Mere", "2", "pellet", 24.0, 0),
            ("2025-05-22", "Reed Pit", "1", "pellet", 12.0, 0),
            ("2025-05-22", "Reed Pit", "2", "plain", 12.0, 2),
        ],
    ),
    # A row a fish: the last two rows are one stint; rows without a weight are asked about.
    "a row a fish": (
        "No,Date,Lake,Rod,Hookbait,In,Out,Weight,Comments\n"
        "1,15/04/2025,Alder Mere,1,plain,18:00,08:00,22lb 4oz,cold\n"
        "2,15/04/2025,Alder Mere,2,pellet,18:00,08:00,,\n"
        "3,26/04/2025,Reed Pit,1,pellet,18:00,07:00,,\n"
        "4,26/04/2025,Reed Pit,2,plain,18:00,07:00,15lb 2oz,\n"
        "5,26/04/2025,Reed Pit,2,plain,18:00,07:00,19lb 8oz,windy\n",
        YES * 2,
        [
            ("2025-04-15", "Alder Mere", "1", "plain", 14.0, 1),
            ("2025-04-15", "Alder Mere", "2", "pellet", 14.0, 0),
            ("2025-04-26", "Reed Pit", "1", "pellet", 13.0, 0),
            ("2025-04-26", "Reed Pit", "2", "plain", 13.0, 2),
        ],
    ),
    # The same with hours alone, where two rows may be two stints.
    "a row a fish, hours alone": (
        "Date,Lake,Bait,Hours,Weight\n15/04/2025,Alder Mere,plain,14,22lb 4oz\n"
        "15/04/2025,Alder Mere,plain,14,19lb\n15/04/2025,Alder Mere,pellet,14,\n",
        YES * 2,
        [
            ("2025-04-15", "Alder Mere", None, "plain", 14.0, 2),
            ("2025-04-15", "Alder Mere", None, "pellet", 14.0, 0),
        ],
    ),
    # Blocks under titles that say trip, day and water, each with its heading.
    "blocks": (
        "Session 1 - 12/4/25 Alder Mere,,,,\nRod,Bait,Hours,Fish,Notes\n1,plain,12,1,\n"
        "2,pellet,12,0,bream\n,,,,\nSession 2 - 19-21 April 2025 Reed Pit,,,,\n"
        "Rod,Bait,Hours,Fish,Notes\n1,pellet,24,0,\n2,plain,24,2,\n",
        YES,
        [
            ("2025-04-12", "Alder Mere", "1", "plain", 12.0, 1),
            ("2025-04-12", "Alder Mere", "2", "pellet", 12.0, 0),
            ("2025-04-19", "Reed Pit", "1", "pellet", 24.0, 0),
            ("2025-04-19", "Reed Pit", "2", "plain", 24.0, 2),
        ],
    ),
    # Days of a month whose name, and once the year, stand in titles; New Year between.
    "days under months": (
        "Day,Water,Bait,Hrs,Fish\nDecember 2024,,,,\n5,Alder Mere,plain,12,1\n"
        "12th,Alder Mere,pellet,12,0\nJanuary,,,,\n3,Reed Pit,plain,24,0\n",
        "",
        [
            ("2024-12-05", "Alder Mere", None, "plain", 12.0, 1),
            ("2024-12-12", "Alder Mere", None, "pellet", 12.0, 0),
            ("2025-01-03", "Reed Pit", None, "plain", 24.0, 0),
        ],
    ),
    # Eight things are undecided; the two that weigh least are taken as they most likely are.
    "more than six": (
        "Date,Lake,Session,Rod,Bait,Hrs,Caught,Weight,Remarks\n"
        "5/4,Alder Mere,night,1,plain,9,-,,wet\n,,night,2,Pellet,9,1,22.4,\n"
        "6/4,Alder Mere,day,1,Plain,9,,,\n12/4,alder mere,night,1,pellet,9,2,18,cold\n"
        ",,night,2,plain,9,x,,\n",
        YES + "2025\n" + YES * 4,
        [
            ("2025-04-05", "Alder Mere", "1", "plain", 9.0, 0),
            ("2025-04-05", "Alder Mere", "2", "Pellet", 9.0, 1),
            ("2025-04-06", "Alder Mere", "1", "plain", 9.0, 0),
            ("2025-04-12", "Alder Mere", "1", "Pellet", 9.0, 2),
            ("2025-04-12", "Alder Mere", "2", "plain", 9.0, 0),
        ],
    ),
    # A column a bait with its fish; an empty cell is a bait that was not out. Totals.
    "a column a bait": (
        {
            "2025": "My bait trials,,,,,\nDate,Lake,Hours,Plain,Pellet,Total\n"
            "2025-04-05,Alder Mere,24,1,0,1\n2025-04-12,Reed Pit,12,,2,2\nTotals,,36,1,2,3\n"
        },
        YES * 2,
        [
            ("2025-04-05", "Alder Mere", None, "Plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", None, "Pellet", 24.0, 0),
            ("2025-04-12", "Reed Pit", None, "Pellet", 12.0, 2),
        ],
    ),
    # Two columns a bait, in two rows of names; one bait stayed at home.
    "hours and fish a bait": (
        {
            "Log": "Date,Water,Plain,,Pellet,\n,,Hrs,Fish,Hrs,Fish\n"
            "2025-04-05,Alder Mere,24,1,24,0\n2025-04-12,Reed Pit,12,0,,\n"
        },
        "",
        [
            ("2025-04-05", "Alder Mere", None, "Plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", None, "Pellet", 24.0, 0),
            ("2025-04-12", "Reed Pit", None, "Plain", 12.0, 0),
        ],
    ),
    # A sheet a bait, and one that is no log.
    "a sheet a bait": (
        {
            "Plain": "Date,Lake,Rod,Hours,Fish\n5 Apr 25,Alder Mere,1,24hrs,1\n",
            "Pellet": "Date,Lake,Rod,Hours,Fish\n5 Apr 25,Alder Mere,2,24hrs,0\n",
            "Recipes": "Name,Eggs\nPlain,6\n",
        },
        YES,
        [
            ("2025-04-05", "Alder Mere", "1", "Plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", "2", "Pellet", 24.0, 0),
        ],
    ),
    # A sheet a water.
    "a sheet a water": (
        {
            "Alder Mere": "Date,Bait,Hrs,Fish\n2025-04-05,plain,24,1\n2025-04-05,pellet,24,0\n",
            "Reed Pit": "Date,Bait,Hrs,Fish\n2025-04-12,plain,12,0\n",
        },
        YES,
        [
            ("2025-04-05", "Alder Mere", None, "plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", None, "pellet", 24.0, 0),
            ("2025-04-12", "Reed Pit", None, "plain", 12.0, 0),
        ],
    ),
    # A sheet a month without years: January is of the next one. Rods are counted.
    "months over New Year": (
        {
            "Dec": "Day,Lake,Rods,Bait,Hrs,Fish\n7 Dec,Alder Mere,2,plain,8,1\n",
            "Jan": "Day,Lake,Rods,Bait,Hrs,Fish\n11 Jan,Reed Pit,3,pellet,8,0\n",
        },
        "2024\n" + YES,
        [
            ("2024-12-07", "Alder Mere", None, "plain", 16.0, 1),
            ("2025-01-11", "Reed Pit", None, "pellet", 24.0, 0),
        ],
    ),
    # A sheet a year, each saying its own.
    "years": (
        {
            "2023": "Date,Where,Bait,Hours,Fish\nSat 7 Jan,Alder Mere,plain,10,1\n",
            "2025": "Date,Where,Bait,Hours,Fish\nSat 4 Jan,Reed Pit,pellet,6,0\n",
        },
        YES,
        [
            ("2023-01-07", "Alder Mere", None, "plain", 10.0, 1),
            ("2025-01-04", "Reed Pit", None, "pellet", 6.0, 0),
        ],
    ),
    # Nights, a day, a slip of a bait: a night was 20 hours, a day 12.
    "nights": (
        "Date,Water,Bait,Time fished,Caught\n12/4/25,Alder Mere,plain,2 nights,1\n"
        "19/4/25,Reed Pit,plian,a day,nil\n26/4/25,Reed Pit,pellet,48hrs,0\n"
        "3/5/25,Reed Pit,pellet,overnight,blank\n10/5/25,Alder Mere,plain,6pm-8am,1\n",
        "20\n" + YES * 2,
        [
            ("2025-04-12", "Alder Mere", None, "plain", 40.0, 1),
            ("2025-04-19", "Reed Pit", None, "plain", 12.0, 0),
            ("2025-04-26", "Reed Pit", None, "pellet", 48.0, 0),
            ("2025-05-03", "Reed Pit", None, "pellet", 20.0, 0),
            ("2025-05-10", "Alder Mere", None, "plain", 14.0, 1),
        ],
    ),
    # Rods beside each other by their side, weights too; 8,2 kg has a comma of decimals.
    "rods by their side": (
        "Date;Venue;Hours;Bait L;Fish L;Weight L;Bait R;Fish R;Weight R\n"
        "05.04.2025;Alder Mere;24,5;plain;1;10,1 kg;pellet;0;\n"
        "12.04.2025;Reed Pit;12;plain;0;;pellet;2;8,2 kg / 9,4 kg\n",
        "",
        [
            ("2025-04-05", "Alder Mere", "L", "plain", 24.5, 1),
            ("2025-04-05", "Alder Mere", "R", "pellet", 24.5, 0),
            ("2025-04-12", "Reed Pit", "L", "plain", 12.0, 0),
            ("2025-04-12", "Reed Pit", "R", "pellet", 12.0, 2),
        ],
        [8.2, 9.4, 10.1],
    ),
    # Several days in one date: the rods came out on the last.
    "several days": (
        "Dates,Venue,Rod,Bait,In,Out,Fish\n12-14 Apr 2025,Alder Mere,1,plain,18:00,10:00,2\n"
        "3rd/4th May 2025,Reed Pit,1,pellet,1900,0700,0\n"
        "30 May - 1 June 2025,Reed Pit,1,plain,12:00,12:00,0\n",
        "",
        [
            ("2025-04-12", "Alder Mere", "1", "plain", 40.0, 2),
            ("2025-05-03", "Reed Pit", "1", "pellet", 12.0, 0),
            ("2025-05-30", "Reed Pit", "1", "plain", 48.0, 0),
        ],
    ),
    # Weights of a list: known whose they are where one rod alone had fish.
    "weights beside lists": (
        "Trip,Date,Lake,Hours,Baits,Caught,Weights\n"
        "1,15/04/2025,Alder Mere,24,plain / pellet,1 / 0,22lb 4oz\n"
        '2,26/04/2025,Reed Pit,12,pellet / plain,1 / 1,"9lb, 14lb 2oz"\n',
        "",
        [
            ("2025-04-15", "Alder Mere", "1", "plain", 24.0, 1),
            ("2025-04-15", "Alder Mere", "2", "pellet", 24.0, 0),
            ("2025-04-26", "Reed Pit", "1", "pellet", 12.0, 1),
            ("2025-04-26", "Reed Pit", "2", "plain", 12.0, 1),
        ],
        [22.25 * LB],
    ),
    # How many rods were out beside times: 14 hours of two rods.
    "rods counted beside times": (
        "Date,Lake,No of rods,Bait,Start,Finish,Fish\n"
        "5 April 2025,Alder Mere,2,plain,18:00,08:00,1\n"
        "12 April 2025,Reed Pit,1,pellet,19:00,07:00,0\n",
        YES,
        [
            ("2025-04-05", "Alder Mere", None, "plain", 28.0, 1),
            ("2025-04-12", "Reed Pit", None, "pellet", 12.0, 0),
        ],
    ),
    # A column a species, added up; fish lost beside fish landed need no other column.
    "species": (
        "Date;Lake;Bait;Rod hours;Carp;Tench\n5.4.25;Alder Mere;plain;24;1;2\n"
        "13.4.25;Reed Pit;pellet;24;0;\n",
        YES,
        [
            ("2025-04-05", "Alder Mere", None, "plain", 24.0, 3),
            ("2025-04-13", "Reed Pit", None, "pellet", 24.0, 0),
        ],
    ),
    "lost beside landed": (
        "Date,Water,Bait,Hours,Fish\n5 April 2025,Alder Mere,plain,24,1 + 1 lost\n"
        "5 April 2025,Alder Mere,pellet,24,0\n12 April 2025,Reed Pit,plain,12,1 lost\n",
        "",
        [
            ("2025-04-05", "Alder Mere", None, "plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", None, "pellet", 24.0, 0),
            ("2025-04-12", "Reed Pit", None, "plain", 12.0, 0),
        ],
    ),
    # A column of the year, of the month, of the day; hours of two rods; weights behind a count.
    "year, month and day": (
        "Year,Month,Day,Lake,Bait,Hrs,Fish\n2025,April,5,Alder Mere,plain,12 x 2,1 (22lb 4oz)\n"
        "2025,April,12,Reed Pit,pellet,24 x 3 rods,0\n"
        '2025,May,3,Reed Pit,plain,9,"2 (9lb, 18lb)"\n',
        "",
        [
            ("2025-04-05", "Alder Mere", None, "plain", 24.0, 1),
            ("2025-04-12", "Reed Pit", None, "pellet", 72.0, 0),
            ("2025-05-03", "Reed Pit", None, "plain", 9.0, 2),
        ],
        [9 * LB, 18 * LB, 22.25 * LB],
    ),
    # The answers to a form, whose questions name the columns.
    "a form": (
        "Timestamp,What date did you fish?,Which water?,Bait on rod 1?,Fish on rod 1?,"
        "Bait on rod 2?,Fish on rod 2?,How long did you fish (hours)?\n"
        "2025/04/06 9:12:44 AM,05/04/2025,Alder Mere,plain,1,pellet,0,24\n"
        "2025/04/28 8:01:10 PM,26/04/2025,Reed Pit,pellet,2,,,12\n",
        "",
        [
            ("2025-04-05", "Alder Mere", "1", "plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", "2", "pellet", 24.0, 0),
            ("2025-04-26", "Reed Pit", "1", "pellet", 12.0, 2),
        ],
    ),
    # Nights are counted in a column, and so are rods: 2 nights of 24 hours with 3 rods.
    "a column of nights": (
        "Arrived,Venue,Nights,Rods,Bait,Result\n15/4/2025,Alder Mere,2,3,plain,2 carp\n"
        "23/4/2025,Reed Pit,1,2,pellet,Blank\n",
        YES * 2,
        [
            ("2025-04-15", "Alder Mere", None, "plain", 144.0, 2),
            ("2025-04-23", "Reed Pit", None, "pellet", 48.0, 0),
        ],
    ),
    # Totals of each month between the rows, dates once a trip.
    "totals between": (
        {
            "Season": "CARP DIARY,,,,,\nDate,Venue,Rod,Bait,Hrs,Fish\n"
            "2025-04-05,Alder Mere,L,plain,24,1\n,,R,pellet,24,0\nApril total,,,,48,1\n"
            "2025-05-03,Reed Pit,L,pellet,12,0\n,,R,plain,12,2\nMay total,,,,24,2\n"
        },
        YES,
        [
            ("2025-04-05", "Alder Mere", "L", "plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", "R", "pellet", 24.0, 0),
            ("2025-05-03", "Reed Pit", "L", "pellet", 12.0, 0),
            ("2025-05-03", "Reed Pit", "R", "plain", 12.0, 2),
        ],
    ),
    # Fish told by their weights, with words beside them.
    "weights with words": (
        "Date,Water,Bait,Hours,Catch\n5 April 2025,Alder Mere,plain,24,22lb 4oz mirror\n"
        "5 April 2025,Alder Mere,pellet,24,blank\n"
        '12 April 2025,Reed Pit,plain,12,"18lb common, 19lb 2oz mirror"\n'
        "12 April 2025,Reed Pit,pellet,12,no luck\n",
        YES,
        [
            ("2025-04-05", "Alder Mere", None, "plain", 24.0, 1),
            ("2025-04-05", "Alder Mere", None, "pellet", 24.0, 0),
            ("2025-04-12", "Reed Pit", None, "plain", 12.0, 2),
            ("2025-04-12", "Reed Pit", None, "pellet", 12.0, 0),
        ],
        [18 * LB, 19.125 * LB, 22.25 * LB],
    ),
    # Serial numbers of the trips, and periods from weekday to weekday on each trip's first row.
    "periods": (
        "Trip,Date,Venue,Session,Rod,Hookbait,Bites,Weight\n"
        "1,Sat 5 Apr 2025,Alder Mere,Fri 6pm - Sun 10am,L,plain,0,\n"
        '1,,,,R,pellet,2,"18lb 4oz & 22lb"\n'
        "2,Sat 19 Apr 2025,Reed Pit,6pm till 9am,L,pellet,0,\n2,,,,R,plain,0,\n"
        "3,Sat 10 May 2025,Reed Pit,Sat 5.30pm - Sun noon,L,plain,1,16lb\n3,,,,R,pellet,0,\n",
        YES,
        [
            ("2025-04-05", "Alder Mere", "L", "plain", 40.0, 0),
            ("2025-04-05", "Alder Mere", "R", "pellet", 40.0, 2),
            ("2025-04-19", "Reed Pit", "L", "pellet", 15.0, 0),
            ("2025-04-19", "Reed Pit", "R", "plain", 15.0, 0),
            ("2025-05-10", "Reed Pit", "L", "plain", 18.5, 1),
            ("2025-05-10", "Reed Pit", "R", "pellet", 18.5, 0),
        ],
        [16 * LB, 18.25 * LB, 22 * LB],
    ),
    # Rods called by their side and its letter; a time with the day of its week.
    "letters of sides": (
        {
            "Pocket": "When,Where,Arrived,Packed up,Left rod,Caught L,Right rod,Caught R\n"
            "2025-04-12,Alder Mere,18:00,08:00 Sun,plain,0,pellet,1\n"
            "2025-05-24,Reed Pit,18:00,12:00 Mon,pellet,1,plain,blank\n"
        },
        "",
        [
            ("2025-04-12", "Alder Mere", "Left", "plain", 14.0, 0),
            ("2025-04-12", "Alder Mere", "Right", "pellet", 14.0, 1),
            ("2025-05-24", "Reed Pit", "Left", "pellet", 42.0, 1),
            ("2025-05-24", "Reed Pit", "Right", "plain", 42.0, 0),
        ],
    ),
    # Runs beside fish landed; how many rods each bait had.
    "runs and fish": (
        "Trip,Dates,Lake,In,Out,Rod 1 bait,Rod 1 runs,Rod 1 landed,Rod 2 bait,Rod 2 runs,"
        "Rod 2 landed\n"
        "1,Fri 4 - Sun 6 Apr 2025,Alder Mere,6pm,10am,plain,1,0,pellet,2,2\n",
        "",
        [
            ("2025-04-04", "Alder Mere", "1", "plain", 40.0, 0),
            ("2025-04-04", "Alder Mere", "2", "pellet", 40.0, 2),
        ],
    ),
    "hours per rod": (
        "Date,Venue,Bait,Hours per rod,No. rods,Fish\n"
        "05/04/25,Alder Mere,plain,14,2,1\n20/04/25,Reed Pit,pellet,10,1,0\n",
        YES,
        [
            ("2025-04-05", "Alder Mere", None, "plain", 28.0, 1),
            ("2025-04-20", "Reed Pit", None, "pellet", 10.0, 0),
        ],
    ),
    # No date but in the time of arriving; `Left` is no rod.
    "arrived and left": (
        "Arrived,Left,Lake,Rod L,Rod R,Fish L,Fish R\n"
        "5/4/2025 18:00,6/4/2025 08:00,Alder Mere,plain,pellet,0,1\n"
        "19/4/2025 18:00,20/4/2025 09:00,Reed Pit,pellet,plain,0,2\n",
        "",
        [
            ("2025-04-05", "Alder Mere", "L", "plain", 14.0, 0),
            ("2025-04-05", "Alder Mere", "R", "pellet", 14.0, 1),
            ("2025-04-19", "Reed Pit", "L", "pellet", 15.0, 0),
            ("2025-04-19", "Reed Pit", "R", "plain", 15.0, 2),
        ],
    ),
    # A club's form: titles over the columns of the trip and of each rod, fish under letters.
    "titles over columns": (
        {
            "Return": "Club return 2025,,,,,,,\nSession,,Rod 1,,Rod 2,,Fish,\n"
            "Date,Lake,Bait,Hours,Bait,Hours,A,B\n"
            "2025-04-12,Alder Mere,plain,14,pellet,13.5,0,1\n"
            "2025-05-10,Reed Pit,pellet,12,,,2,\nSigned:,,,,,,,\n"
        },
        "",
        [
            ("2025-04-12", "Alder Mere", "1", "plain", 14.0, 0),
            ("2025-04-12", "Alder Mere", "2", "pellet", 13.5, 1),
            ("2025-05-10", "Reed Pit", "1", "pellet", 12.0, 2),
        ],
    ),
    # Days of the month that the name of the sheet says.
    "sheets of months": (
        {
            "April": "Day,Water,Bait,Start,Finish,Fish\n5,Alder Mere,plain,20:00,08:00,1\n",
            "May": "Day,Water,Bait,Start,Finish,Fish\n3,Reed Pit,pellet,18:00,09:30,-\n",
        },
        "2025\n" + YES,
        [
            ("2025-04-05", "Alder Mere", None, "plain", 12.0, 1),
            ("2025-05-03", "Reed Pit", None, "pellet", 15.5, 0),
        ],
    ),
    # The date in the sheet's name alone.
    "sheets of days": (
        {
            "12 Apr 2025": "Lake,Rod,Bait,Time in,Time out,Fish\nAlder Mere,1,plain,18:00,8:00,0\n",
            "26 Apr 2025": "Lake,Rod,Bait,Time in,Time out,Fish\nReed Pit,1,pellet,19:00,09:30,2\n",
        },
        "",
        [
            ("2025-04-12", "Alder Mere", "1", "plain", 14.0, 0),
            ("2025-04-26", "Reed Pit", "1", "pellet", 14.5, 2),
        ],
    ),
}


def saved(folder: Path, kept: str | dict[str, str]) -> str:
    """The sheet as a file; cells of a workbook are dates and numbers where they look so."""
    if isinstance(kept, str):
        (folder / "log.csv").write_text(kept)
        return "log.csv"
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, text in kept.items():
        sheet = book.create_sheet(name)
        for row in csv.reader(text.splitlines()):
            sheet.append([_typed(cell) for cell in row])
    book.save(folder / "log.xlsx")
    return "log.xlsx"


def _typed(cell: str) -> object:
    if re.fullmatch(r"\d{4}-\d\d-\d\d", cell):
        return date.fromisoformat(cell)
    return float(cell) if re.fullmatch(r"\d+(\.\d+)?", cell) else cell or None


@pytest.mark.parametrize("name", SHEETS)
def test_a_hobbyists_sheet_goes_in_by_questions(by_questions, tmp_path: Path, name: str) -> None:
    """Every stint and weight is as worked out by hand; a question more has no answer here."""
    kept, answers, wanted, *weights = SHEETS[name]
    file = saved(tmp_path, kept)
    done = by_questions(answers, "import", file, "--zone", "UTC")
    assert done.code == 0, done.out + done.err
    assert answers.count("\n") <= 6
    check_log(tmp_path, wanted, weights[0] if weights else None)
    assert tomllib.loads((tmp_path / f"{file}.layout.toml").read_text())["columns"]


def check_log(folder: Path, wanted: list[tuple], kilograms: list[float] | None) -> None:
    """The stints of the logbook, and the weights of its fish; a day may be that of the cast."""
    with open_logbook(folder / "logbook.sqlite") as book:
        trips = {row["id"]: row for row in book.sessions()}
        stints, catches = book.stints(), book.catches()
    caught = Counter(row["stint_id"] for row in catches)
    rows = [
        (
            trip["date"] or row["cast_in"][:10],
            *(trip["venue"], row["rod"], row["variant"], row["hours"]),
            caught[row["id"]] if row["fish"] is None else row["fish"],
        )
        for row in stints
        for trip in [trips[row["session_id"]]]
    ]
    assert sorted(rows, key=str) == sorted(wanted, key=str)
    if kilograms is not None:
        weights = [row["weight"] for row in catches if row["weight"] is not None]
        assert sorted(weights) == pytest.approx(kilograms)
        assert len(catches) == sum(fish for *_, fish in wanted)


def test_at_a_terminal_of_its_own(tmp_path: Path) -> None:
    """The same through a pseudo-terminal, with the diary."""
    kept, answers, wanted, weights = SHEETS["diary"]
    code, said = at_a_terminal(tmp_path, answers, "import", saved(tmp_path, kept))
    assert code == 0, said
    check_log(tmp_path, wanted, weights)


REFUSED = {
    # Nothing says which rod had the fish; nothing says how long.
    "Date,Lake,Hrs,Rod 1,Rod 2,Fish\n5/4/25,Alder Mere,24,plain,pellet,1\n": "of its own",
    "Date,Lake,Bait,Fish\n5/4/25,Alder Mere,plain,1\n": "add one to the sheet",
    "Date,Lake,Plain,Pellet,Fish\n5/4/25,Alder Mere,24,24,1 on plain\n": "add one to the sheet",
    "Date,Lake,Hrs,Bait 1,Carp 1,Tench 1,Bait 2,Carp 2,Tench 2\n"
    "5/4/25,Alder Mere,9,plain,0,1,pellet,1,0\n": "of its own",
    # Which is the left one's; numbers that go on; a week in a row.
    "Date,Lake,Hrs,Left bait,Right bait,Fish 1,Fish 2\n5/4/25,Alder Mere,9,a,b,0,1\n": "of its own",
    "Date,Lake,Bait,Hrs,Total fish\n"
    + "".join(f"{n}/4/25,Alder Mere,plain,9,{n}\n" for n in (1, 3, 4, 7)): "add one to the sheet",
    "Week,Date,Lake,Bait,Fish\n"
    + "".join(f"{n},{n}/4/25,Alder Mere,plain,0\n" * 2 for n in (1, 2, 3)): "add one to the sheet",
    "Week,Water,Rod,Bait,Fri,Sat,Sun,Hours\n2025-05-05,Alder Mere,1,plain,0,1,0,10\n": "are days",
}


@pytest.mark.parametrize("kept", REFUSED)
def test_a_sheet_that_cannot_be_counted_is_refused(by_questions, tmp_path: Path, kept: str) -> None:
    """In a line that says what to change in it; there is no logbook then."""
    done = by_questions(YES * 6, "import", saved(tmp_path, kept))
    assert done.code == 4
    assert REFUSED[kept] in done.out + done.err
    assert not (tmp_path / "logbook.sqlite").exists()


def test_without_a_terminal_the_questions_stand_with_their_lines(command, tmp_path: Path) -> None:
    """The line of the answer put into the layout that is printed gives the same import."""
    log, _, wanted, _ = SHEETS["diary"]
    (tmp_path / "my log.csv").write_text(log)
    done = command("import", "my log.csv")
    assert done.code == 4
    for part in (
        "Which year is the first date, 9 Nov?",
        "year = 2025",
        "trip or to its rod",
    ):
        assert part in " ".join(done.out.split()), done.out
    assert "rodhours import 'my log.csv' --layout my.layout.toml" in done.err
    # The years that are offered go with the calendar; the line takes any.
    (tmp_path / "my.toml").write_text(re.sub(r"# year = \d+", "year = 2024", done.out, count=1))
    assert command("import", "my log.csv", "--layout", "my.toml").code == 0
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        assert len(stint_frame(book)) == len(wanted)


def test_a_label_over_several_days_is_asked_about(by_questions, tmp_path: Path) -> None:
    """day and night are no trips, nor is a number of each row; what is the same of a trip stays."""
    rows = "12/04/2025,Alder Mere,night,1,plain,9,0,N\n12/04/2025,Alder Mere,night,2,mix,9,1,S\n"
    rows += "13/04/2025,Alder Mere,day,1,plain,9,0,W\n20/04/2025,Alder Mere,night,1,mix,9,0,W\n"
    (tmp_path / "log.csv").write_text(f"Date,Lake,Session,Rod,Bait,Hrs,Fish,Wind\n{rows}")
    done = by_questions("\n", "import", "log.csv")
    assert done.code == 0
    assert "Date, Lake and Session together: 3 trips" in done.err
    assert re.search(r"Wind +\(kept as it is\)", done.out)
    assert "4 rows imported (3 sessions)" in done.out


def test_an_empty_cell_among_written_blanks_is_not_taken_for_one(by_questions, tmp_path) -> None:
    """Where five blanks are written, Enter lets the trip with the sixth wait; `1 lost` is none."""
    kept = ["0", "-", "0", "-", "1 lost", "0", ""]
    rows = [f"{day}.04.25;Alder Mere;plain;12,5;{fish}\n" for day, fish in enumerate(kept, 1)]
    (tmp_path / "log.csv").write_text("Date;Water;Bait;Hrs;Fish\n" + "".join(rows))
    done = by_questions("\n", "import", "log.csv")
    assert (done.code, "6 rows imported (6 sessions)" in done.out) == (3, True), done.out
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        frame = stint_frame(book)
    assert (list(frame["fish"]), frame["lost"].sum()) == ([0] * 6, 1)


def test_what_is_beyond_sense_is_asked_about_once(command, by_questions, tmp_path: Path) -> None:
    """120 fish in 12 hours, a day to come, 20 days, 30 hours of a trip of 12: asked, remembered."""
    head = "session,date,start,end,rod,variant,hours,fish\n"
    rows = (
        "fine,2025-04-01,2025-04-01T06:00,2025-04-01T18:00,1,plain,12,19\n"
        "many,2025-04-12,,,1,plain,12,120\n"
        "ahead,2150-04-12,,,1,plain,12,1\n"
        "long,2025-05-12,,,1,plain,480,1\n"
        "more,2025-06-12,2025-06-12T06:00,2025-06-12T18:00,1,plain,30,1\n"
    )
    (tmp_path / "log.csv").write_text(head + rows)
    done = command("import", "log.csv")
    assert done.code == 3
    assert "1 row imported (1 session)" in done.out.replace("  ", "")
    for part in (
        "120 fish in 12 h",
        "lies in the future",
        "20 days",
        "30 h of a trip of 12",
    ):
        assert part in done.out
    assert done.out.count("--sure") == 4
    assert command("import", "log.csv").code == 3
    done = by_questions("2\n", "import", "log.csv")
    assert (done.code, "4 rows imported (4 sessions)" in done.out) == (0, True)
    (tmp_path / "log.csv").write_text(head + rows + "next,2025-07-01,,,1,plain,12,0\n")
    assert command("import", "log.csv").code == 0
    assert command("export", "out").code == 0
    for hours, fish in (("1e308", "0"), ("5e-324", "0"), ("12", "1001")):
        (tmp_path / "log.csv").write_text(f"session,variant,hours,fish\nx,plain,{hours},{fish}\n")
        assert command("import", "log.csv", "--sure").code == 3


def test_of_two_columns_that_say_fish_one_is_asked_for(by_questions, tmp_path: Path) -> None:
    """And no other that could hold fish by its numbers is offered beside them."""
    (tmp_path / "own.csv").write_text(
        "Date,Lake,Rod,Bait,Hours,Banked,Landed,Luck\n"
        "2025-04-05,Alder Mere,1,plain,24,1,2,3\n2025-04-05,Alder Mere,2,pellet,24,0,0,1\n"
        "2025-04-26,Reed Pit,1,plain,12,0,0,0\n2025-04-26,Reed Pit,2,pellet,12,2,2,4\n"
    )
    done = by_questions("2\n" + YES * 3, "import", "own.csv")
    assert done.code == 0, done.err
    question = done.err.split("number of fish landed?")[1].split("none of them")[0]
    assert re.findall(r"Banked|Landed|Luck", question) == ["Banked", "Landed"]
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        assert list(stint_frame(book)["fish"]) == [2, 0, 0, 2]


def test_what_is_asked_about_stands_in_the_order_of_the_file(by_questions, tmp_path: Path) -> None:
    """Eight days to come, from the latest to the first."""
    days = [f"2150-04-{day:02}" for day in range(28, 20, -1)]
    rows = "".join(f"t{number},{day},plain,12,1\n" for number, day in enumerate(days))
    (tmp_path / "log.csv").write_text("session,date,variant,hours,fish\n" + rows)
    asked = by_questions("1\n", "import", "log.csv").err.split("Is this right?")[1]
    shown = re.findall(r"2150-04-\d\d", asked)
    assert len(shown) > 2
    assert shown == days[: len(shown)]


def test_what_can_only_mean_one_thing_is_read(command, tmp_path: Path) -> None:
    """The trip log's own names with decimal commas, and with times of day beside the date."""
    (tmp_path / "log.csv").write_text(
        "session;date;rod;variant;hours;fish;cast_in;cast_out;water_temp_c\n"
        "a;2025-04-12;1;plain;11,75;0;18:30;06:15;9,5\nb;2025-04-14;1;plain;5,5;1;;;10\n"
    )
    done = command("import", "log.csv", "--zone", "UTC")
    assert done.code == 0, done.out
    assert done.err.count("8,5 is read as 8.5") == 1
    with open_logbook(tmp_path / "logbook.sqlite") as book:
        frame = stint_frame(book)
    assert list(frame["hours"]) == [11.75, 5.5]
    assert str(frame["cast_out"].iloc[0])[:16] in ("2025-04-13 06:15", "2025-04-13T06:15")
    # A comma before three digits may stand for thousands, and is no decimal comma by itself.
    (tmp_path / "log.csv").write_text("session;variant;hours;fish\nc;plain;1,234;0\n")
    assert command("import", "log.csv").code == 3
