"""Writes the small workbooks in `../workbooks` that the tests read: pip install openpyxl xlwt odfpy.

All hold one invented series: twelve rows from 2024-03-04 08:00, ten minutes apart, air temperature 20.0, 20.1, ... degC
and relative humidity 40.0, 40.5, ... %.
"""

import datetime
import pathlib

import openpyxl
import xlwt
from odf.opendocument import OpenDocumentSpreadsheet
from odf.table import Table, TableCell, TableRow
from odf.text import P
from openpyxl.utils.datetime import CALENDAR_MAC_1904

FOLDER = pathlib.Path(__file__).parent.parent / "workbooks"
TIMES = [datetime.datetime(2024, 3, 4, 8, 0) + datetime.timedelta(minutes=10 * i) for i in range(12)]
TEMPS = [round(20 + 0.1 * i, 1) for i in range(12)]
RHS = [40 + 0.5 * i for i in range(12)]
NAMES = ["Time", "Temp (°C)", "RH (%)"]
SERIALS = [(t - datetime.datetime(1899, 12, 30)) / datetime.timedelta(days=1) for t in TIMES]


def save(book, name):
    fixed = datetime.datetime(2024, 3, 5)
    book.properties.created = fixed
    book.properties.modified = fixed
    book.save(FOLDER / name)


def fill(sheet, times=TIMES, first=1):
    for column, name in enumerate(NAMES, 1):
        sheet.cell(first, column, name)
    for at, row in enumerate(zip(times, TEMPS, RHS), first + 1):
        for column, value in enumerate(row, 1):
            sheet.cell(at, column, value)


def xlsx():
    for name, epoch in [("days_1900.xlsx", None), ("days_1904.xlsx", CALENDAR_MAC_1904)]:
        book = openpyxl.Workbook()
        if epoch:
            book.epoch = epoch
        fill(book.active)
        save(book, name)

    # A header further down and to the right, date and time in two cells.
    book = openpyxl.Workbook()
    sheet = book.active
    sheet["C2"] = "Serial Number"
    sheet["D2"] = "INV-0042"
    for column, name in enumerate(["Date", "Time", "Temp (°C)", "RH (%)"], 3):
        sheet.cell(6, column, name)
    for at, (time, temp, rh) in enumerate(zip(TIMES, TEMPS, RHS), 7):
        for column, value in enumerate([time.date(), time.time(), temp, rh], 3):
            sheet.cell(at, column, value)
    save(book, "date_and_time.xlsx")

    # Serial numbers rounded to five decimals of a day.
    book = openpyxl.Workbook()
    fill(book.active, [round(s, 5) for s in SERIALS])
    for row in range(2, 14):
        book.active.cell(row, 1).number_format = "yyyy-mm-dd hh:mm"
    save(book, "rounded_serials.xlsx")

    # Serial numbers without a date format.
    book = openpyxl.Workbook()
    fill(book.active, SERIALS)
    save(book, "plain_serials.xlsx")

    # Several sheets.
    book = openpyxl.Workbook()
    book.active.title = "Notes"
    book.active["A1"] = "invented for a test"
    fill(book.create_sheet("Kitchen"))
    fill(book.create_sheet("Bath 1/F".replace("/", " ")))
    book.create_sheet("Empty")
    save(book, "sheets.xlsx")

    # Text among numbers, an error, a unit in the cell.
    book = openpyxl.Workbook()
    fill(book.active)
    sheet = book.active
    sheet["B3"] = "20.1"
    sheet["B4"] = "20.2 °C"
    sheet["B5"] = "TOO WET"
    sheet["C6"] = "#N/A"
    save(book, "text_among_numbers.xlsx")


def xls():
    for name, mac in [("days_1900.xls", False), ("days_1904.xls", True)]:
        book = xlwt.Workbook()
        book.dates_1904 = mac
        sheet = book.add_sheet("Log")
        style = xlwt.easyxf(num_format_str="yyyy-mm-dd hh:mm")
        for column, title in enumerate(NAMES):
            sheet.write(0, column, title)
        for at, (time, temp, rh) in enumerate(zip(TIMES, TEMPS, RHS), 1):
            sheet.write(at, 0, time, style)
            sheet.write(at, 1, temp)
            sheet.write(at, 2, rh)
        book.save(str(FOLDER / name))


def ods():
    book = OpenDocumentSpreadsheet()
    table = Table(name="Log")
    book.spreadsheet.addElement(table)

    def row(*cells, **more):
        element = TableRow(**more)
        for cell in cells:
            element.addElement(cell)
        table.addElement(element)

    def text(value):
        cell = TableCell(valuetype="string")
        cell.addElement(P(text=value))
        return cell

    row(text("Invented & kept"))
    row(TableCell(numbercolumnsrepeated=3), numberrowsrepeated=4)
    row(*[text(name) for name in ["Date", "Time", "Temp (°C)", "RH (%)"]])
    for time, temp, rh in zip(TIMES, TEMPS, RHS):
        row(
            TableCell(valuetype="date", datevalue=time.date().isoformat()),
            TableCell(valuetype="time", timevalue=time.strftime("PT%HH%MM%SS")),
            TableCell(valuetype="float", value=temp),
            TableCell(valuetype="float", value=rh),
            TableCell(numbercolumnsrepeated=1020),
        )
    row(TableCell(numbercolumnsrepeated=1024), numberrowsrepeated=1048558)
    book.save(str(FOLDER / "repeats.ods"))


xlsx()
xls()
ods()
