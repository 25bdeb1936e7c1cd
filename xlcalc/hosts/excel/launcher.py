"""The fixed part of the add-in's VBA: starts Python, asks it, keeps answers, makes real error values.

VBA keeps one Python, started by a command that was fixed when the add-in was built. Cells become values here, so
that Python is called once for a call and never calls back into a busy Excel. Two marks come back in place of a
value: Chr$(1) with the number of an Excel error, because COM's Python cannot send an error value, and Chr$(2) with
the sentence of a fault. A start that failed, or a Python that went away, is not tried again for half a minute: a
sheet has thousands of cells, and each try takes a second in which Excel stands still.

Marked places such as {stamp} are filled in by `vba`. The text is plain ASCII, which every code page carries.
"""

ANSWERS = r'''Option Explicit
'Written by "xlcalc setup excel" for this computer. To change it, run that command again.
Private Const STAMP As String = {stamp}
Private Const SERVES As String = {serves}
Private Const REST As Double = 30 'seconds between two starts of Python
Private Const KEPT As Long = 20000 'answers
Private Const AWAY As Long = 1000 'our error number: there is no Python to ask
#If Mac Then
#ElseIf Win64 Then
Private Declare PtrSafe Function LoadLibraryW Lib "kernel32" (ByVal place As LongPtr) As LongPtr
Private Declare PtrSafe Function XLPyDLLActivateAuto Lib {name64} (ByRef answer As Variant, _
    Optional ByVal command As String = "", Optional ByVal mode As Long = 1) As Long
#Else
Private Declare PtrSafe Function LoadLibraryW Lib "kernel32" (ByVal place As LongPtr) As LongPtr
Private Declare PtrSafe Function XLPyDLLActivateAuto Lib {name32} (ByRef answer As Variant, _
    Optional ByVal command As String = "", Optional ByVal mode As Long = 1) As Long
#End If
Private python As Object
Private known As Object
Private reason As String
Private fault As String
Private notBefore As Date
Private helped As Boolean

Private Function StartCommand() As String
    StartCommand = {command}
End Function

Private Function Library() As String
    #If Win64 Then
    Library = {dll64}
    #Else
    Library = {dll32}
    #End If
End Function

Public Function XLCALC_STATUS()
    If InWizard() Then Exit Function
    On Error GoTo failed
    XLCALC_STATUS = Asked(Array("XLCALC_STATUS")) & fault
    Exit Function
failed:
    XLCALC_STATUS = Left$("not connected: " & Err.Description, 255)
End Function

Private Function XlcAnswer(ByVal given As Variant) As Variant
    'given is Array(name of the function, its arguments ...)
    Dim key As String
    On Error GoTo failed
    If Not ReadCells(given) Then
        XlcAnswer = CVErr(xlErrValue)
        Exit Function
    End If
    key = KeyOf(given)
    If Len(key) > 0 Then
        If known Is Nothing Then Set known = CreateObject("Scripting.Dictionary")
        If known.Exists(key) Then
            XlcAnswer = known(key)
            Exit Function
        End If
    End If
    If InWizard() Then Exit Function
    XlcAnswer = WithErrors(Asked(given))
    If Len(key) > 0 Then
        If known.Count >= KEPT Then known.RemoveAll
        known(key) = XlcAnswer
    End If
    Exit Function
failed:
    If Err.Number <> AWAY Then
        fault = "; last fault: " & Err.Description
        XlcAnswer = CVErr(xlErrValue)
    ElseIf given(0) = "ANSWER_WHY" Then
        XlcAnswer = Left$("not connected: " & Err.Description, 255)
    Else
        XlcAnswer = CVErr(xlErrName)
    End If
End Function

Private Function Asked(ByVal given As Variant) As Variant
    'What Python says. Where it went away, once more with a new one, if Server may start one.
    Dim again As Boolean
    On Error GoTo gone
ask:
    Asked = Server().CallUDF(SERVES, "answer", (given))
    Exit Function
gone:
    reason = Err.Description
    Set python = Nothing
    If Len(reason) = 0 Then reason = "Python stopped; run xlcalc doctor"
    If again Then Err.Raise AWAY, , reason
    again = True
    Resume ask
End Function

Private Function XlcAbout(ByVal title As String, ByVal about As Variant, ByVal inputs As Variant) As Variant
    'A function about another one: its name first, then that function's arguments as they stand.
    Dim given As Variant, i As Long
    given = Array(title, about)
    ReDim Preserve given(0 To UBound(inputs) + 2)
    For i = 0 To UBound(inputs)
        If IsObject(inputs(i)) Then
            Set given(i + 2) = inputs(i)
        Else
            given(i + 2) = inputs(i)
        End If
    Next i
    XlcAbout = XlcAnswer(given)
End Function

Private Function Server() As Object
    If python Is Nothing Then
        If Now < notBefore Then Err.Raise AWAY, , reason
        notBefore = Now + REST / 86400
        Set python = StartServer()
    End If
    Set Server = python
End Function

Private Function StartServer() As Object
    #If Mac Then
    Refuse "on a Mac the cells keep their last values; run xlcalc recalc on the file"
    #Else
    Dim answer As Variant, place As String
    place = Library()
    If LoadLibraryW(StrPtr(place)) = 0 Then Refuse "cannot load " & place & "; run xlcalc setup excel again"
    If XLPyDLLActivateAuto(answer, StartCommand(), 1) <> 0 Then
        Refuse "Python did not start; run xlcalc doctor. " & CStr(answer)
    End If
    Set StartServer = answer
    #End If
End Function

Private Sub Refuse(ByVal words As String)
    'The rest begins now: the try itself may have taken long.
    notBefore = Now + REST / 86400
    Err.Raise AWAY, , words
End Sub

Private Function InWizard() As Boolean
    'True while the Function Arguments window is open: Excel then calls at every key.
    On Error Resume Next
    InWizard = Not Application.CommandBars("Standard").Controls(1).Enabled
End Function

Private Function ReadCells(ByRef given As Variant) As Boolean
    'Cells become their values; False where a range is in several pieces, of which only one could be read.
    Dim i As Long, area As Object
    For i = 1 To UBound(given)
        If IsObject(given(i)) Then
            Set area = given(i)
            If area.Areas.Count > 1 Then Exit Function
            given(i) = Used(area).Value2
        End If
    Next i
    ReadCells = True
End Function

Private Function Used(ByVal area As Object) As Object
    'A whole column has a million cells: its rows in use are enough.
    Dim sheet As Object
    Set Used = area
    Set sheet = area.Worksheet
    If area.Rows.Count < sheet.Rows.Count Then Exit Function
    Set Used = area.Resize(sheet.UsedRange.Row + sheet.UsedRange.Rows.Count - 1)
End Function

Private Function KeyOf(ByVal given As Variant) As String
    'Same function and same single values, same answer. What holds an array is not kept.
    Dim i As Long, text As String
    For i = 0 To UBound(given)
        If IsArray(given(i)) Then Exit Function
        text = text & VarType(given(i)) & ":" & CStr(given(i))
        If VarType(given(i)) = vbDouble Then text = text & LeftOver(given(i))
        text = text & Chr$(0)
    Next i
    KeyOf = text
End Function

Private Function LeftOver(ByVal number As Double) As String
    'CStr has 15 digits; what they leave over tells two close numbers apart.
    If Abs(number) < 1E+300 Then LeftOver = "+" & CStr(number - CDbl(CStr(number)))
End Function

Private Function WithErrors(ByVal answer As Variant) As Variant
    Dim i As Long, j As Long
    If Not IsArray(answer) Then
        WithErrors = OneValue(answer)
    Else
        If IsTable(answer) Then
            For i = LBound(answer, 1) To UBound(answer, 1)
                For j = LBound(answer, 2) To UBound(answer, 2)
                    answer(i, j) = OneValue(answer(i, j))
                Next j
            Next i
        Else
            For i = LBound(answer) To UBound(answer)
                answer(i) = OneValue(answer(i))
            Next i
        End If
        WithErrors = answer
    End If
End Function

Private Function IsTable(ByVal answer As Variant) As Boolean
    Dim last As Long
    On Error GoTo oneRow
    last = UBound(answer, 2)
    IsTable = True
oneRow:
End Function

Private Function OneValue(ByVal value As Variant) As Variant
    OneValue = value
    If VarType(value) <> vbString Then Exit Function
    If Left$(value, 1) = Chr$(1) Then
        OneValue = CVErr(CLng(Mid$(value, 2)))
    ElseIf Left$(value, 1) = Chr$(2) Then
        fault = "; last fault: " & Mid$(value, 2)
        OneValue = CVErr(xlErrValue)
    End If
End Function
'''

HELP = r'''
Public Sub Auto_Open()
    'Excel refuses help texts while it is opening a book, so they wait until it is ready.
    If helped Then Exit Sub
    helped = True
    Application.OnTime Now, "'" & ThisWorkbook.Name & "'!XlcDescribe"
End Sub

Public Sub XlcDescribe()
    'Excel refuses help texts for a hidden book, so the add-in shows itself for a moment.
    Dim drawn As Boolean, saved As Boolean
    drawn = Application.ScreenUpdating
    saved = ThisWorkbook.Saved
    Application.ScreenUpdating = False
    On Error GoTo restore
    ThisWorkbook.IsAddin = False
{families}restore:
    ThisWorkbook.IsAddin = True
    ThisWorkbook.Saved = saved
    Application.ScreenUpdating = drawn
    If Err.Number <> 0 Then fault = "; help texts are missing: " & Err.Description
End Sub

Private Sub Describe(ByVal title As String, ByVal about As String, ParamArray words() As Variant)
    Dim texts As Variant
    texts = words
    If UBound(texts) < 0 Then
        Application.MacroOptions Macro:=title, Description:=about, Category:="xlcalc"
    Else
        Application.MacroOptions Macro:=title, Description:=about, Category:="xlcalc", ArgumentDescriptions:=texts
    End If
End Sub
'''

OPENING = """Private Sub Workbook_Open()
    xlcalc_functions.Auto_Open
End Sub
"""
